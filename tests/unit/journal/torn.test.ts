import { expect, it } from "vitest";
import { tearMany } from "../../faults/tearing.js";

/** The rest of a thousand and more is in `npm run faults`. */
const TEARS = 17;

const seed = Date.now() % 2 ** 32;

it(`${TEARS} torn journals are never read as wrong data (seed ${seed})`, () => {
  expect([...tearMany(TEARS, seed).values()].flatMap(({ wrong }) => wrong)).toEqual([]);
}, 120_000);
