import { existsSync } from "node:fs";
import { join } from "node:path";
import { JOURNAL_FILE, schemaOf } from "./journal/database.js";
import { MIGRATIONS } from "./journal/migrations.js";
import { folderOfCall, JOURNAL_OPTIONS, print, type Verb } from "./verb.js";

export const schemaVerb: Verb = {
  help: `  schema           the journal's schema number, and whether this program can open it; also while the station runs
`,
  options: JOURNAL_OPTIONS,
  operands: 0,
  async run(call) {
    const folder = await folderOfCall(call);
    const knows = MIGRATIONS.at(-1)?.version ?? 0;
    const file = join(folder, JOURNAL_FILE);
    const schema = existsSync(file) ? schemaOf(folder) : null;
    const ok = schema === null || schema <= knows;
    const words =
      schema === null
        ? `There is no journal in ${folder} yet; this program knows schema numbers up to ${knows}.\n`
        : `The journal in ${folder} has schema number ${schema}; this program knows them up to ${knows}` +
          `${ok ? "" : ": a newer one is needed to open it"}.\n`;
    print(call.json ? `${JSON.stringify({ ok, journal: folder, schema, knows })}\n` : words);
    return ok ? 0 : 1;
  },
};
