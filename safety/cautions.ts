import type { Caution } from "../station/model/caution.js";
import { COOLANT } from "./coolant.js";
import { DUST } from "./dust.js";
import { ELECTRICAL } from "./electrical.js";
import { FIRE } from "./fire.js";
import { FUME } from "./fume.js";
import { LASER } from "./laser.js";
import { MATERIALS_FUME } from "./materials-fume.js";
import { OPTICS } from "./optics.js";

/** Every caution by its id. The rules name ids of this table only, so that a rule without its text does not compile. */
const BY_ID = {
  ...FIRE,
  ...FUME,
  ...MATERIALS_FUME,
  ...DUST,
  ...LASER,
  ...COOLANT,
  ...ELECTRICAL,
  ...OPTICS,
};

export type CautionId = keyof typeof BY_ID;

export const CAUTIONS: Readonly<Record<CautionId, Caution>> = BY_ID;
