import { importFile } from "./journal/exchange/import.js";
import type { Imported } from "./journal/exchange/intake.js";
import { folderOfCall, JOURNAL_OPTIONS, print, type Verb } from "./verb.js";

export const importVerb: Verb = {
  help: `  import FILE      takes in what export gave: readings (csv, senml), runs and alarms (jsonl); all of a file
                   or nothing; stop the station first
`,
  options: JOURNAL_OPTIONS,
  operands: 1,
  async run(call) {
    const folder = await folderOfCall(call);
    const imported = await importFile(call.operands[0] ?? "", folder);
    print(
      call.json ? `${JSON.stringify({ journal: folder, ...imported })}\n` : wordsOfImport(folder, imported),
    );
    return 0;
  },
};

/** The report for people. */
export function wordsOfImport(folder: string, imported: Imported): string {
  const { readings, runs, alarms, duplicates, thinned, different, renumbered } = imported;
  const lines = [
    `Into the journal in ${folder}: ${readings} readings, ${runs} runs, ${alarms} alarm transitions.`,
  ];
  if (duplicates > 0) lines.push(`${duplicates} were there already and are not kept twice.`);
  if (thinned > 0) {
    lines.push(
      `${thinned} readings are of a time that was thinned by the rule of keeping, and are not taken in again.`,
    );
  }
  if (different.length > 0) {
    lines.push(`Runs that are there already and differ, left as they are: ${different.join(", ")}.`);
  }
  if (renumbered.length > 0) {
    lines.push(`Runs whose number was taken, and have a new one: ${renumbered.join(", ")}.`);
  }
  return `${lines.join("\n")}\n`;
}
