import type { GpiodTools, RunningTool } from "./gpiod-tools.js";
import { edgeIn, type GpiodVersion, getArguments, monitorArguments, type ToolLine } from "./gpiod-words.js";
import type { EdgeSeen, GpioLine, Level } from "./line.js";

export interface MonitorDeps {
  readonly tools: GpiodTools;
  readonly version: GpiodVersion;
  /** Monotonic time, milliseconds. */
  readonly mono: () => number;
}

/**
 * While gpiomon holds a line nobody can ask for its level: it is that of the last edge. An edge between the look before and
 * gpiomon's start, or one that the kernel's queue had no room for, would leave it wrong until the next. So a line that has
 * been still is given back for a moment, looked at, and taken again: after the first 2 s, then every 10 s.
 */
const FIRST_LOOK_MS = 2000;
const LOOK_EVERY_MS = 10_000;
/** A line with an edge in this time is not still. */
const STILL_MS = 1000;

/**
 * Lets what gpiomon has printed already be read first. A thread that was held up finds its timers due before it hears of what came
 * in meanwhile: the look would vouch for the level before, and the edge that comes after it could not be dated back.
 */
const rowsFirst = () => new Promise<void>((resolve) => setImmediate(resolve));

/** Edges that the kernel dates so far back, or ahead, are dated by another clock than this one. */
const PLAUSIBLE_AGE_MS = 60_000;

/** Takes an input line and watches both of its edges. Rejects where it cannot be had. */
export async function monitoredLine(line: ToolLine, deps: MonitorDeps): Promise<GpioLine> {
  const { tools, version, mono } = deps;
  let seen: EdgeSeen = () => {};
  let tool: RunningTool | null = null;
  let lost: Error | null = null;
  let closed = false;
  let looking: Promise<Level> | null = null;
  let lastEdge = Number.NEGATIVE_INFINITY;
  let nextLook = mono() + FIRST_LOOK_MS;

  const look = async (): Promise<Level> => {
    const told = (await tools.run("gpioget", getArguments(version, line))).trim();
    if (told !== "0" && told !== "1")
      throw new Error(`gpioget printed ${JSON.stringify(told.slice(0, 40))}, not a level`);
    return told === "1" ? 1 : 0;
  };

  const hold = () => {
    const held = tools.hold("gpiomon", monitorArguments(version, line), (row) => {
      const edge = edgeIn(version, row);
      if (edge === null) return;
      const now = mono();
      level = edge.level;
      lastEdge = now;
      const age = now - edge.at;
      seen(edge.level, age >= 0 && age < PLAUSIBLE_AGE_MS ? edge.at : null);
    });
    tool = held;
    void held.ended.then((why) => {
      if (why !== null && tool === held) lost = why;
    });
  };

  const lookAgain = async (): Promise<Level> => {
    const held = tool;
    tool = null;
    held?.stop();
    await held?.ended;
    const now = await look();
    if (closed) return now;
    hold();
    nextLook = mono() + LOOK_EVERY_MS;
    if (now !== level) {
      level = now;
      seen(now, null);
    }
    return now;
  };

  let level = await look();
  hold();

  return {
    async read() {
      await rowsFirst();
      if (looking !== null) return looking;
      if (lost !== null) throw lost;
      const now = mono();
      if (now < nextLook || now - lastEdge < STILL_MS) return level;
      looking = lookAgain();
      try {
        return await looking;
      } catch (error) {
        lost = error as Error;
        throw error;
      } finally {
        looking = null;
      }
    },
    write: () => Promise.reject(new TypeError("a line that is an output")),
    watch(listener) {
      seen = listener;
    },
    close() {
      closed = true;
      seen = () => {};
      tool?.stop();
    },
  };
}
