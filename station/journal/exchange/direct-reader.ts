import { readingsOf } from "../columns.js";
import type { Db } from "../database.js";
import type { ReplayRequest } from "../reader-calls.js";
import { createReads } from "../reads.js";
import type { ReadingsReader } from "./export-readings.js";

/** What an export of readings asks for, answered from a connection in the same thread. */
export function directReader(db: Db): ReadingsReader {
  const reads = createReads(db);
  return {
    sessions: async () => reads.sessions(null),
    definitions: async () => reads.definitions(null),
    async *readingsForReplay(request: ReplayRequest) {
      for (let after: number | null = 0; after !== null; ) {
        const block: Awaited<ReturnType<typeof reads.replayBlock>> = await reads.replayBlock({
          ...request,
          after,
        });
        yield readingsOf(block.readings);
        after = block.next;
      }
    },
  };
}
