import type { Problem } from "../../../station/model/now.js";
import { PAGE_HEADER } from "./page-header.js";
import { patience } from "./patience.js";
import { noteProblem } from "./turned-away.js";

/** What became of something that was sent and may be sent again. */
export type Delivery =
  | { readonly outcome: "kept"; readonly answer: unknown }
  /** The station has understood that it cannot take this, now or later. */
  | { readonly outcome: "refused"; readonly why: string }
  /** Not known, or not now: the same is sent again later. */
  | { readonly outcome: "later"; readonly why: string };

/** With these a problem of the station says that sending the same again is in vain. */
const FINAL: ReadonlySet<number> = new Set([400, 404, 413, 415, 422]);

/** Whoever has been signed out goes on, and what waits is sent once somebody has signed in again. */
const WAITS_FOR: Readonly<Record<string, string>> = {
  "sign-in-needed": "Sign in again: what waits stays here until then.",
  "not-allowed": "This phone only looks. What waits stays here until it may enter things again.",
};

export const NO_ANSWER = "The station has not answered.";

/** Sends `body` and tells what became of it. Never rejects. */
export async function deliver(
  path: string,
  { body, type, withinMs }: { body: BodyInit; type: string; withinMs: number },
): Promise<Delivery> {
  const waiting = patience(withinMs);
  try {
    const response = await fetch(`/api${path}`, {
      method: "POST",
      signal: waiting.signal,
      headers: { accept: "application/json", "content-type": type, ...PAGE_HEADER },
      body,
    });
    return deliveryOf(response.status, await response.json().catch(() => null));
  } catch {
    return { outcome: "later", why: NO_ANSWER };
  } finally {
    waiting.end();
  }
}

/** @param answer the body of the answer; null where it was no JSON */
export function deliveryOf(status: number, answer: unknown): Delivery {
  const problem = answer as Partial<Problem> | null;
  if (status >= 200 && status < 300) {
    if (answer === null) return { outcome: "later", why: NO_ANSWER };
    // Taken, and not on the disk yet: it counts as kept when it is answered so.
    if (status === 202) return { outcome: "later", why: "The station has not got it on its disk yet." };
    return { outcome: "kept", answer };
  }
  noteProblem(problem?.code);
  const why =
    WAITS_FOR[problem?.code ?? ""] ??
    problem?.detail ??
    problem?.title ??
    `The station answered with status ${status} and no reason.`;
  // Something else on the way may answer in the station's place: only its own problems are believed.
  const final = FINAL.has(status) && typeof problem?.code === "string";
  return { outcome: final ? "refused" : "later", why };
}
