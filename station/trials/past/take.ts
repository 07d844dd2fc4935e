import { createHash } from "node:crypto";
import type { TrialActionMap } from "../../journal/trials/calls.js";
import type { Entry } from "../../model/entry.js";
import type { Clock } from "../../model/instant.js";
import type { PastImport, PastRun } from "../../model/past-run.js";
import { eachWithPauses } from "./pauses.js";
import { readPastRuns } from "./read.js";

export interface PastRunsParts {
  readonly clock: Clock;
  readonly keep: (
    name: "entriesKept",
    params: TrialActionMap["entriesKept"]["params"],
  ) => Promise<TrialActionMap["entriesKept"]["result"]>;
}

const SHOWN = 5;

/** Takes past runs in from a spreadsheet: all of a file in one transaction, or, where a cell of it is not right, none. */
export function createPastRuns({ clock, keep }: PastRunsParts) {
  return {
    /** @param dry only says what would become of it @throws AppError "import-refused" */
    async take(text: AsyncIterable<string>, dry: boolean, by: string | null): Promise<PastImport> {
      const { runs, ...read } = await readPastRuns(text, localMoment);
      const answer = { ...read, shown: runs.slice(0, SHOWN) };
      if (dry || read.badRows > 0) return { ...answer, kept: null };
      const entries = await eachWithPauses(
        runs,
        (run): Entry<"past"> => ({
          ...{ entry: entryOf(run), kind: "past", subject: run.run, property: "" },
          // When it was cut stands in the run; it is entered now.
          ...{ body: run, enteredWall: null, by },
        }),
      );
      const answers = await keep("entriesKept", { entries, at: clock.now() });
      const now = answers.filter(({ became }) => became === "kept").length;
      return { ...answer, kept: { now, before: answers.length - now } };
    },
  };
}

/** In the zone of the machine. */
export function localMoment(...parts: [number, number, number, number, number, number]): number {
  return new Date(...parts).getTime();
}

/** The same run gets the same id, so that a file that is imported again adds nothing: a UUID of version 8 (RFC 9562). */
function entryOf(run: PastRun): string {
  const hash = createHash("sha256").update(JSON.stringify(run)).digest();
  hash[6] = ((hash[6] as number) & 0x0f) | 0x80;
  hash[8] = ((hash[8] as number) & 0x3f) | 0x80;
  const hex = hash.toString("hex");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20, 32)].join(
    "-",
  );
}
