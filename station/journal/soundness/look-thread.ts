/** The thread that looks the journal through: it may take a minute, and neither readings nor charts wait for it. */
import { openForReading } from "../database.js";
import { answerCalls } from "../thread.js";
import { type Looked, lookThrough } from "./look.js";

export interface LookCalls {
  look: { params: { readonly folder: string }; result: Looked };
}

answerCalls<LookCalls>(
  {
    look({ folder }) {
      const db = openForReading(folder);
      try {
        return lookThrough(db);
      } finally {
        db.close();
      }
    },
  },
  () => {},
);
