import type { AfterRequest } from "./reader-calls.js";

const PAGE_ROWS = 200;

/** Every row of a question that is answered a page at a time, oldest first; at most a page is held. */
export async function* eachRow<R>(
  ask: (request: AfterRequest) => Promise<readonly R[]>,
  place: (row: R) => number,
): AsyncGenerator<R, void> {
  for (let after = 0; ; ) {
    const rows = await ask({ after, limit: PAGE_ROWS });
    yield* rows;
    const last = rows.at(-1);
    if (last === undefined || rows.length < PAGE_ROWS) return;
    after = place(last);
  }
}
