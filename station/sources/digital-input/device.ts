import type { Clock, Instant } from "../../model/instant.js";
import type { Source } from "../../model/source.js";
import type { GpiodTools } from "../gpio/gpiod-tools.js";
import { checkLine, HeldLine } from "../gpio/held-line.js";
import type { SysfsLineFactory } from "../gpio/sysfs.js";
import { createPolledSource, type PointResult, type Push } from "../polled-source.js";
import type { Tally } from "../tally.js";
import type { DigitalInputEntry } from "./entry.js";
import { chatters, type Level, seeLevel, settle, settlesAt, stateOf, UNSETTLED } from "./parse.js";

export interface DigitalInputDeps {
  readonly clock: Clock;
  readonly sysRoot: string;
  readonly gpio?: SysfsLineFactory;
  readonly tools?: GpiodTools;
  /** How long one look at the line may take; default 2 s. */
  readonly limitMs?: number;
}

/** A switch or a status contact; one point, 1 (on) or 0. It is reported at every change and at every look. */
export function createDigitalInput(entry: DigitalInputEntry, deps: DigitalInputDeps): Source {
  const { clock, sysRoot, gpio, tools, limitMs = 2000 } = deps;
  const { debounce_ms: debounceMs, point } = entry;
  let debounce = UNSETTLED;
  let candidateAt: Instant | null = null;
  let timer: NodeJS.Timeout | null = null;
  let push: Push = () => {};
  let tally: Tally | null = null;
  let bouncesBefore = 0;
  let lookedAt: number | null = null;
  let edges = 0;
  let seenAt = 0;

  const result = (level: Level): PointResult => ({
    point,
    value: stateOf(level, entry.active_low),
    unit: "state",
  });

  const become = (next: typeof debounce, now: Instant) => {
    const before = debounce;
    debounce = next;
    tally?.drop("bounce", next.bounces - before.bounces);
    const settled = next.settled;
    // The moment of a change is when the level came, not when it had stood long enough.
    if (settled !== before.settled && settled !== null) push(result(settled), candidateAt ?? now);
    if (next.candidate?.since !== before.candidate?.since) candidateAt = next.candidate === null ? null : now;
    arm(now.mono);
  };

  const arm = (mono: number) => {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    const due = settlesAt(debounce, debounceMs);
    if (due === null) return;
    const pause = Math.max(1, Math.ceil(due - mono));
    timer = setTimeout(() => {
      const now = clock.now();
      become(settle(debounce, now.mono, debounceMs), now);
    }, pause);
  };

  /**
   * @param edgeMono when the kernel saw the edge, where it says so; never taken for before the last that was seen, and to
   * the whole millisecond, as all times of the station are
   */
  const see = (level: Level, edgeMono: number | null = null) => {
    const now = clock.now();
    const mono = edgeMono === null ? now.mono : Math.min(now.mono, Math.max(Math.floor(edgeMono), seenAt));
    seenAt = mono;
    const at = { wall: now.wall - (now.mono - mono), mono };
    become(seeLevel(debounce, level, mono, debounceMs), at);
  };

  const boundary = { sysRoot, gpio, tools, mono: () => clock.now().mono };
  const { chip, bias } = entry;
  const line = new HeldLine({ chip, line: entry.line, bias }, boundary, "in", "both", (level, mono) => {
    edges += 1;
    see(level, mono);
  });

  const forget = () => {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    debounce = UNSETTLED;
    candidateAt = null;
    bouncesBefore = 0;
    lookedAt = null;
  };

  const round = async (): Promise<readonly PointResult[]> => {
    const edgesBefore = edges;
    const told = await line.read();
    if (!("level" in told)) {
      forget();
      return [{ point, fault: told.reason, detail: told.detail }];
    }
    const { settled } = debounce;
    // A level that was read while an edge came may be the one before it, and would undo the edge.
    if (edges === edgesBefore) see(told.level);
    const now = clock.now().mono;
    const window = lookedAt === null ? 0 : now - lookedAt;
    const bounces = debounce.bounces - bouncesBefore;
    lookedAt = now;
    bouncesBefore = debounce.bounces;
    if (chatters(bounces, window)) {
      const detail = `the contact does not settle: ${bounces} bounces since the last look`;
      return [{ point, fault: "garbled", detail }];
    }
    // A change that this look has just settled was reported by it.
    if (debounce.settled === null || debounce.settled !== settled) return [];
    if (candidateAt === null) return [result(debounce.settled)];
    // The other level may be about to count from the moment it came: the old one is vouched for until just before.
    const { wall, mono } = candidateAt;
    push(result(debounce.settled), { wall: wall - 1, mono: mono - 1 });
    return [];
  };

  return createPolledSource({
    id: entry.id,
    driver: entry.driver,
    clock,
    everyMs: entry.every_s * 1000,
    limitMs,
    round,
    points: () => [point],
    begin: (to, counts) => {
      push = to;
      tally = counts;
    },
    end: () => {
      forget();
      line.close();
    },
    check: async () => {
      const words = (level: Level) =>
        `the level is ${level === 1 ? "high" : "low"}, which means ${stateOf(level, entry.active_low) === 1 ? "on" : "off"}`;
      return [await checkLine(`${entry.id} (digital input, line ${entry.line})`, line, words)];
    },
  });
}
