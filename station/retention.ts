import type { ThinOrder } from "./journal/protocol.js";
import { type JournalReader, LOOK_BACK_MS } from "./journal/reader.js";
import type { StampReach } from "./journal/thinning/keeping.js";
import type { Log } from "./log.js";
import type { Clock, Instant } from "./model/instant.js";
import { type RuleChange, ruleAt } from "./retention-rule.js";
import { changedWall } from "./rule-times.js";
import { KEEP_PATH, SETTINGS_SUBJECT } from "./setting-changes.js";
import { LATEST_NEWS_MS } from "./trials/recent-past.js";
import { REPLAY_LEAD_MS } from "./trials/replay.js";

/**
 * Around a run, what its stamp is worked out again from. A journal may have been thinned to this: a method that reaches
 * further would find nothing there.
 */
export const STAMP_REACH: StampReach = {
  leadMs: REPLAY_LEAD_MS,
  lookBackMs: LOOK_BACK_MS,
  afterMs: LATEST_NEWS_MS,
};

const EVERY_MS = 3_600_000;
const DAY_MS = 86_400_000;
const PAGE_ROWS = 500;

/** What the rule is read from. */
export type RuleReader = Pick<JournalReader, "settingChanges" | "sessions" | "clockSteps">;

export interface RetentionParts {
  /** As configured; null: every reading is kept for ever. */
  readonly days: number | null;
  readonly clock: Pick<Clock, "now" | "state">;
  readonly journal: { thin(order: ThinOrder): Promise<void> };
  readonly reader: RuleReader;
  readonly log: Log;
  /** Whether the journal was looked through and nothing was found: what a damaged one says of runs is not gone by. */
  readonly sound: () => boolean;
}

/** Carries out the owner's rule of how long readings keep their full resolution. */
export interface Retention {
  /** Once the runs that were open are closed and the settings of this start are kept. */
  begin(): void;
  tick(now: Instant): void;
}

export function createRetention({ days, clock, journal, reader, log, sound }: RetentionParts): Retention {
  let nextMono: number | null = null;
  let told: string | null = null;

  function tell(words: string): void {
    if (words === told) return;
    told = words;
    log("warn", words, { setting: KEEP_PATH });
  }

  async function look(configured: number): Promise<void> {
    // A clock that runs ahead by years would make every reading an old one.
    if (clock.state() !== "synchronised") {
      tell(`${ruleWords(configured)}. Nothing is taken away while it is not known that the clock is right`);
      return;
    }
    if (!sound()) {
      tell(`${ruleWords(configured)}. Nothing is taken away while it is not known that the journal is sound`);
      return;
    }
    const { wall } = clock.now();
    const { inForce, from } = ruleAt(await ruleChanges(reader, wall), configured, wall);
    if (from !== null) tell(`${ruleWords(configured)}. This is new: it is in force from ${iso(from)} on`);
    else tell(ruleWords(configured));
    if (inForce !== null) await journal.thin({ beforeWall: wall - inForce * DAY_MS, reach: STAMP_REACH });
  }

  return {
    begin() {
      if (days !== null) nextMono = clock.now().mono;
    },
    tick({ mono }) {
      if (days === null || nextMono === null || mono < nextMono) return;
      nextMono = mono + EVERY_MS;
      look(days).catch((error: unknown) =>
        log("error", "old readings could not be thinned", { error: String(error) }),
      );
    },
  };
}

/** What the rule does, for people. */
export function ruleWords(days: number): string {
  return (
    `readings older than ${days} days lose their full resolution for good, as ${KEEP_PATH} says: ` +
    "their minutes stay, and all that the stamps of runs were made of"
  );
}

/**
 * The rule as the journal has kept it, oldest first.
 * @param now wall milliseconds: when a change was made of which no right clock has told
 */
export async function ruleChanges(reader: RuleReader, now: number): Promise<RuleChange[]> {
  const clocks = { sessions: await reader.sessions(), steps: await reader.clockSteps() };
  const found: RuleChange[] = [];
  for (let before: number | undefined; ; ) {
    const { changes, more } = await reader.settingChanges({
      subject: SETTINGS_SUBJECT,
      limit: PAGE_ROWS,
      ...(before === undefined ? {} : { before }),
    });
    for (const change of changes) {
      if (change.path !== KEEP_PATH) continue;
      const days = typeof change.new === "number" ? change.new : null;
      found.push({ wall: changedWall(change, clocks) ?? now, days });
    }
    before = changes.at(-1)?.id;
    if (!more) return found.reverse();
  }
}

function iso(wall: number): string {
  return new Date(wall).toISOString();
}
