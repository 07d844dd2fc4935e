import { errnoOf } from "../errno.js";
import { drivenLine } from "./driven-line.js";
import type { GpiodTools } from "./gpiod-tools.js";
import { chipsIn, getArguments, type LineInfo, linesIn, type ToolLine } from "./gpiod-words.js";
import type { GpioDirection, GpioEdge, GpioLine, Level, LineAccess, LineEntry, LineSearch } from "./line.js";
import { monitoredLine } from "./monitored-line.js";
import { byNumber, pickChip } from "./pick-line.js";

export interface CharacterDeviceDeps {
  readonly tools: GpiodTools;
  /** Monotonic time, milliseconds: that of the kernel's time stamps. */
  readonly mono: () => number;
  /** Why this way, in words. */
  readonly why: string;
}

/**
 * Up to this rate gpiomon is known to count every pulse: 200 of 200 at 55 a second, seen once by hand on an emulated machine, and
 * held to by no test. Faster ones are not measured: the kernel's queue has room for 16 edges.
 */
export const DEVICE_RELIABLE_HZ = 55;

const NO_TOOLS = {
  ok: false,
  reason: "missing",
  detail: "the tools for GPIO lines (gpiomon, gpioget, gpioset) are not installed",
  mend: "sudo apt install gpiod",
} as const;

/** Lines by the kernel's character devices, /dev/gpiochip…, through the tools of libgpiod: the newer way. */
export function characterDeviceAccess({ tools, mono, why }: CharacterDeviceDeps): LineAccess {
  const find = async (entry: LineEntry): Promise<LineSearch> => {
    try {
      return await search(entry);
    } catch (error) {
      if (errnoOf(error) === "ENOENT") return NO_TOOLS;
      throw error;
    }
  };

  const search = async (entry: LineEntry): Promise<LineSearch> => {
    const version = await tools.version();
    const chips = chipsIn(await tools.survey("gpiodetect"));
    const named = byNumber(entry) ? null : await byName(tools, entry);
    if (named !== null && !("line" in named)) return named;
    const wanted = named === null ? (entry as LineEntry & { line: number }) : { line: named.line };
    const among = named === null ? chips : chips.filter(({ name }) => name === named.chip);
    const picked = pickChip(among, wanted, {
      detail: "the kernel shows no GPIO chip: neither under /sys/class/gpio nor as /dev/gpiochip…",
      mend: "check that the station's user is in the group gpio, and that this machine has GPIO lines",
    });
    if (!picked.ok) return picked;
    const line: ToolLine = { chip: picked.chip.name, line: wanted.line, bias: entry.bias };
    return {
      ok: true,
      where: `${picked.chip.label}, line ${line.line} of /dev/${line.chip}, by gpiod ${version}`,
      inUse: async () => {
        const info = (await infos(tools)).find((each) => each.chip === line.chip && each.line === line.line);
        const by = info?.usedBy ?? null;
        return by === null ? undefined : { by, level: null };
      },
      take: (direction, edge) => take(line, version, direction, edge),
    };
  };

  const take = async (
    line: ToolLine,
    version: 1 | 2,
    direction: GpioDirection,
    edge: GpioEdge,
  ): Promise<GpioLine> => {
    if (direction !== "in") return drivenLine(line, direction === "high" ? 1 : 0, { tools, version });
    if (edge !== "none") return rising(await monitoredLine(line, { tools, version, mono }), edge);
    return {
      read: async () =>
        (await tools.run("gpioget", getArguments(version, line))).trim() === "1" ? 1 : (0 satisfies Level),
      write: () => Promise.reject(new TypeError("a line that is an output")),
      watch() {},
      close() {},
    };
  };

  return { reliableHz: DEVICE_RELIABLE_HZ, why, find };
}

/** Both edges are watched always, since they say the level; who wants the rising ones is told of those. */
function rising(line: GpioLine, edge: GpioEdge): GpioLine {
  if (edge === "both") return line;
  return { ...line, watch: (seen) => line.watch((level, at) => (level === 1 ? seen(level, at) : undefined)) };
}

const infos = async (tools: GpiodTools): Promise<readonly LineInfo[]> =>
  linesIn(await tools.survey("gpioinfo"));

async function byName(
  tools: GpiodTools,
  { line: name }: LineEntry,
): Promise<LineInfo | (LineSearch & { ok: false })> {
  const all = await infos(tools);
  const [line, second] = all.filter((each) => each.name === name);
  const none = (detail: string, mend: string) => ({ ok: false, reason: "missing", detail, mend }) as const;
  if (line === undefined) {
    const names = all.flatMap((each) => each.name ?? []).slice(0, 40);
    return none(
      `no line is named ${name}; ${names.length === 0 ? "none has a name" : `there are ${names.join(", ")}`}`,
      "correct line in station.yaml: gpioinfo shows the names",
    );
  }
  if (second !== undefined) {
    return none(`several lines are named ${name}`, "give chip and the line's number in station.yaml");
  }
  return line;
}
