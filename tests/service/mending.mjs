/**
 * Mends the journal in argv[2] and says a line after each step; goes no further than step argv[3], where it stands still.
 * Whoever started it kills it.
 */
import { writeSync } from "node:fs";
import { mendReadings } from "../../.build/station/journal/soundness/mend.js";

const [, , folder, last] = process.argv;
let steps = 0;
await mendReadings(folder, {
  say: () => {},
  step: ({ part, done }) => {
    steps++;
    writeSync(1, `${part} ${done}\n`);
    if (steps === Number(last)) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0);
  },
});
