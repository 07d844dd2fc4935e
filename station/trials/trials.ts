import { randomInt } from "node:crypto";
import type { AskTrials, KeepTrials } from "../journal/trials/calls.js";
import type { Clock, Instant } from "../model/instant.js";
import type { LightnessAsked } from "../model/lightness.js";
import type { MaintenanceKind, MaintenanceView } from "../model/maintenance.js";
import { createDecisionRecord } from "./decision/record.js";
import { type Kept, keptWithin } from "./kept.js";
import { createLotRecord } from "./lot-record.js";
import { createPastRuns } from "./past/take.js";
import { createPhotoDesk } from "./photos/desk.js";
import { type PhotoSize, photoFolder } from "./photos/names.js";
import { createPictures } from "./photos/pictures.js";
import { createPhotoRecord } from "./photos/record.js";
import { findPhoto } from "./photos/store.js";
import { createPlanDesk, type PlanDesk, type PlanDeskParts } from "./plans/plan-desk.js";
import { createPlanRecord } from "./plans/plan-record.js";
import { planSearch, searchesOf } from "./plans/plan-search.js";
import { createReviewRecord } from "./review-record.js";
import { createWorkshop, type WorkshopParts } from "./workshop.js";

export interface TrialsParts {
  readonly clock: Clock;
  readonly journal: {
    readonly trials: KeepTrials;
    maintenance(done: { kind: string; at: Instant; note: string }): Promise<void>;
  } & WorkshopParts["journal"];
  readonly reader: {
    readonly trials: AskTrials;
  };
  readonly runs: PlanDeskParts["runs"];
  readonly opticsCleaned: (note: string) => Promise<Kept<unknown>>;
  /** Of the journal: photos lie beside it. */
  readonly folder: string;
  readonly reserveBytes: number;
  readonly changed: () => void;
  readonly failed: (error: unknown) => void;
}

const WORD = 2 ** 32;
/** How long after something could not be kept it is looked again what is next. */
const TRY_AGAIN_MS = 10_000;

/** Lots, plans and specimens: the desk that knows the running plan, and the records that people ask for. */
export function createTrials(parts: TrialsParts) {
  const { clock, journal, reader } = parts;
  const desk: PlanDesk = createPlanDesk({
    ...parts,
    keep: journal.trials,
    ask: reader.trials,
    async search(view) {
      const wanted = searchesOf(view);
      if (wanted === null) return { tries: [], found: [] };
      return planSearch(view, await reader.trials("searches", wanted));
    },
    random: () => randomInt(WORD) / WORD,
    later: (work) => void setTimeout(work, TRY_AGAIN_MS).unref(),
  });
  const record = createPlanRecord({ desk, ask: reader.trials });
  const workshop = createWorkshop({ clock, journal, lots: () => reader.trials("lots", null) });
  const pictures = createPictures();
  const photos = photoFolder(parts.folder);
  return {
    desk,
    photos: {
      ...createPhotoRecord({
        clock,
        desk: createPhotoDesk({ folder: photos, reserveBytes: parts.reserveBytes, pictures }),
        enter: desk.enter,
        ask: reader.trials,
      }),
      find: (sha256: string, size: PhotoSize) => findPhoto(photos, sha256, size),
      async lightness(sha256: string, asked: LightnessAsked) {
        const { file } = await findPhoto(photos, sha256, "full");
        return pictures.call("lightness", { file, asked });
      },
    },
    pastRuns: {
      ...createPastRuns({ clock, keep: journal.trials }),
      list: (limit: number) => reader.trials("pastRuns", { limit }),
    },
    decisions: createDecisionRecord({
      ...{ facts: workshop.facts, enter: desk.enter, ask: reader.trials, late: desk.late },
    }),
    review: createReviewRecord({ facts: workshop.facts, ask: reader.trials }),
    workshop: {
      ...workshop,
      async maintenance(): Promise<MaintenanceView> {
        const beforeWall = clock.now().wall;
        return {
          last: await reader.trials("upkeep", { beforeWall }),
          log: await reader.trials("maintenanceLog", null),
        };
      },
      maintained(kind: MaintenanceKind, note: string): Promise<Kept<unknown>> {
        // The stamps go by when the optics were cleaned.
        if (kind === "optics-cleaned") return parts.opticsCleaned(note);
        const done = { kind, at: clock.now(), note };
        return keptWithin(
          journal.maintenance(done).then(() => done),
          done,
        );
      },
      upkeepOf: (run: string) => reader.trials("upkeep", { run }),
    },
    close: () => pictures.close(),
    lots: createLotRecord({ clock, keep: journal.trials, ask: reader.trials }),
    plans: { ...record, ...desk },
  };
}
