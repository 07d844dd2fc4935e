/** The thread that looks the journal through: it may take a minute, and neither readings nor charts wait for it. */
import { openForReading } from "../database.js";
import { answerCalls, giveWay } from "../thread.js";
import { type Looked, lookThrough } from "./look.js";

export interface LookCalls {
  look: { params: { readonly folder: string }; result: Looked };
}

giveWay();
answerCalls<LookCalls>(
  {
    look({ folder }) {
      const db = openForReading(folder);
      try {
        // It goes once from end to end for each thing it looks at: what it keeps of the file would be used hardly ever.
        db.pragma("cache_size = -1000");
        return lookThrough(db);
      } finally {
        db.close();
      }
    },
  },
  () => {},
);
