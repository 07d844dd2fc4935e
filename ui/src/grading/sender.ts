import type { EntryAnswer } from "../../../station/model/entry.js";
import { type Delivery, NO_ANSWER } from "../link/deliver.js";
import { type Lane, mostAtOnce, nextParcel, type Waiting } from "./waiting.js";

export interface SenderParts {
  waiting(): Promise<readonly Waiting[]>;
  /** Of one lane, in order. */
  send(parcel: readonly Waiting[]): Promise<Delivery>;
  /** The station has it: it need not be kept here any longer. */
  settle(item: Waiting, answer: unknown): Promise<void>;
  /** The station will not have it. */
  refuse(item: Waiting, why: string): Promise<void>;
}

/**
 * Sends what waits in a lane, oldest first, until nothing is left or it has to be tried again later. What is not answered for
 * stays and is sent again with its id. @returns why it goes on later; null where nothing is left
 */
export async function sendLane(parts: SenderParts, lane: Lane): Promise<string | null> {
  let most = mostAtOnce(lane);
  for (;;) {
    const parcel = nextParcel(await parts.waiting(), lane, most);
    const [first] = parcel;
    if (first === undefined) return null;
    const sent = await parts.send(parcel);
    if (sent.outcome === "later") return sent.why;
    if (sent.outcome === "refused") {
      // One of them that is not right has the others refused with it: each is then asked about alone.
      if (parcel.length > 1) most = 1;
      else await parts.refuse(first, sent.why);
      continue;
    }
    if (lane === "photo") {
      await parts.settle(first, sent.answer);
      continue;
    }
    const answers = new Map(entriesIn(sent.answer).map((each) => [each.entry, each]));
    for (const item of parcel) {
      const answer = answers.get(item.entry);
      if (answer === undefined) return NO_ANSWER;
      if (answer.became === "refused")
        await parts.refuse(item, answer.why ?? "The station did not take it, and gave no reason.");
      else await parts.settle(item, answer);
    }
  }
}

function entriesIn(answer: unknown): readonly EntryAnswer[] {
  const entries = (answer as { entries?: unknown } | null)?.entries;
  return Array.isArray(entries) ? (entries as EntryAnswer[]) : [];
}
