import { existsSync } from "node:fs";
import { join } from "node:path";
import { JOURNAL_FILE } from "./journal/database.js";
import { openReader } from "./journal/reader.js";
import type { ClockState } from "./model/instant.js";
import type { Finding } from "./model/source.js";
import { ruleChanges, ruleWords } from "./retention.js";
import { ruleAt } from "./retention-rule.js";

const DAY_MS = 86_400_000;

export interface RetentionQuestion {
  /** As configured; null: for ever. */
  readonly days: number | null;
  /** Of the journal. */
  readonly folder: string;
  /** Wall milliseconds. */
  readonly now: number;
  readonly clock: ClockState;
}

/** What the owner's rule of keeping takes away and from when on, before it does. Never throws. */
export async function checkRetention(question: RetentionQuestion): Promise<Finding> {
  const { days, folder } = question;
  const subject = "old readings";
  if (days === null) return { subject, ok: true, found: "every one is kept, calibrated, for ever", mend: "" };
  if (!existsSync(join(folder, JOURNAL_FILE))) {
    return { subject, ok: true, found: `${ruleWords(days)}. There is no journal yet`, mend: "" };
  }
  const reader = openReader({ folder });
  try {
    const { found, mend } = await wordsOf({ ...question, days }, reader);
    return { subject, ok: mend === "", found, mend };
  } catch (error) {
    const found = `${ruleWords(days)}. What that takes away cannot be said: ${error instanceof Error ? error.message : error}`;
    return {
      subject,
      ok: false,
      found,
      mend: "look at what is said of the journal: npm run station -- verify",
    };
  } finally {
    await reader.close();
  }
}

async function wordsOf(
  { days, now, clock }: RetentionQuestion & { readonly days: number },
  reader: Parameters<typeof ruleChanges>[0] & Pick<ReturnType<typeof openReader>, "thinnable">,
): Promise<Pick<Finding, "found" | "mend">> {
  const { from } = ruleAt(await ruleChanges(reader, now), days, now);
  const { readings, ...span } = await reader.thinnable({ beforeWall: now - days * DAY_MS });
  const of =
    span.from === null || span.to === null
      ? ""
      : `, of ${iso(span.from)} to ${iso(span.to)}, without those around runs`;
  const found = [
    ruleWords(days),
    readings === 0 ? "now that would be none" : `now that would be ${readings} readings${of}`,
    ...(from === null
      ? []
      : [`it takes nothing away before ${iso(from)}; until then it can be changed back`]),
  ].join(". ");
  if (clock === "synchronised") return { found, mend: "" };
  const mend =
    "let the clock be set over the network: nothing is taken away while it is not known to be right";
  return { found, mend };
}

function iso(wall: number): string {
  return new Date(wall).toISOString();
}
