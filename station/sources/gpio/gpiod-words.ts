import type { Bias, Level } from "./line.js";
import type { Chip } from "./pick-line.js";

/**
 * The words of the command-line tools of libgpiod, whose versions 1 and 2 have other options and other output. Sources: the
 * tools' own manual pages and source, libgpiod 1.6.3 and 2.3 (gpiodetect, gpioinfo, gpioget, gpioset, gpiomon).
 */
export type GpiodVersion = 1 | 2;

/** The version in what `gpiodetect --version` prints, null where there is none that is known. */
export function versionIn(text: string): GpiodVersion | null {
  const major = /libgpiod\) v(\d+)\./.exec(text)?.[1] ?? /libgpiod v(\d+)\./.exec(text)?.[1];
  return major === "1" ? 1 : major === "2" ? 2 : null;
}

export interface DeviceChip extends Chip {
  /** As in /dev: gpiochip0. The number may differ from one start to the next. */
  readonly name: string;
}

/** The chips in what `gpiodetect` prints; both versions print `gpiochip0 [pinctrl-bcm2711] (58 lines)`. */
export function chipsIn(text: string): readonly DeviceChip[] {
  return [...text.matchAll(/^(\S+) \[(.*)\] \((\d+) lines?\)$/gm)].map(([, name, label, lines]) => ({
    name: name as string,
    label: label as string,
    lines: Number(lines),
  }));
}

export interface LineInfo {
  /** The chip's name in /dev. */
  readonly chip: string;
  readonly line: number;
  readonly name: string | null;
  /** Who holds it, null where it is free. */
  readonly usedBy: string | null;
}

/**
 * The lines in what `gpioinfo` prints. Version 1: `line 3: "lid" "gpiomon" input active-high [used]`, with `unnamed` and
 * `unused` for what there is not; version 2: `line 3: "lid" input consumer="gpiomon"`.
 */
export function linesIn(text: string): readonly LineInfo[] {
  let chip = "";
  const lines: LineInfo[] = [];
  for (const row of text.split("\n")) {
    chip = /^(\S+) - \d+ lines?:/.exec(row)?.[1] ?? chip;
    const [, line, name, rest] = /^\s+line\s+(\d+):\s+(unnamed|".*?"|\S+)\s+(.*)$/.exec(row) ?? [];
    if (line === undefined || rest === undefined) continue;
    const used =
      /consumer="?([^"]*)"?/.exec(rest)?.[1] ?? /^"?([^"]*?)"?\s+(?:input|output)\b.*\[used/.exec(rest)?.[1];
    const taken = used ?? (/\[.*used.*\]/.test(rest) ? "the kernel" : null);
    lines.push({
      chip,
      line: Number(line),
      name: name === "unnamed" ? null : (name as string).replace(/^"|"$/g, ""),
      usedBy: taken,
    });
  }
  return lines;
}

const BIAS_WORDS: Record<GpiodVersion, Record<Bias, string>> = {
  1: { "pull-up": "pull-up", "pull-down": "pull-down", none: "disable" },
  2: { "pull-up": "pull-up", "pull-down": "pull-down", none: "disabled" },
};

export interface ToolLine {
  readonly chip: string;
  readonly line: number;
  readonly bias?: Bias | undefined;
}

function biasWords(version: GpiodVersion, bias: Bias | undefined): readonly string[] {
  return bias === undefined ? [] : [version === 1 ? "-B" : "-b", BIAS_WORDS[version][bias]];
}

/** Arguments of gpioget, which then prints the level as 0 or 1. */
export function getArguments(version: GpiodVersion, { chip, line, bias }: ToolLine): readonly string[] {
  const pull = biasWords(version, bias);
  return version === 1 ? [...pull, chip, String(line)] : ["--numeric", ...pull, "-c", chip, String(line)];
}

/** Arguments of gpiomon, which then prints a row for every edge, at once: see `edgeIn`. */
export function monitorArguments(version: GpiodVersion, { chip, line, bias }: ToolLine): readonly string[] {
  const pull = biasWords(version, bias);
  return version === 1
    ? ["--line-buffered", "--format=%e %s %n", ...pull, chip, String(line)]
    : ["--format", "%e %S", ...pull, "-c", chip, String(line)];
}

/** Arguments of gpioset, which then holds the line at the level until it is ended. */
export function setArguments(
  version: GpiodVersion,
  { chip, line }: ToolLine,
  level: Level,
): readonly string[] {
  return version === 1 ? ["--mode=signal", chip, `${line}=${level}`] : ["-c", chip, `${line}=${level}`];
}

/** Arguments of gpioset, which then puts the line to the level and ends. */
export function putArguments(
  version: GpiodVersion,
  { chip, line }: ToolLine,
  level: Level,
): readonly string[] {
  const what = `${line}=${level}`;
  return version === 1 ? ["--mode=exit", chip, what] : ["--toggle", "0", "-c", chip, what];
}

export interface Edge {
  readonly level: Level;
  /** When the kernel saw it, milliseconds of its monotonic clock (of the wall clock on kernels before 5.7). */
  readonly at: number;
}

/** The edge in a row of gpiomon, null where it is none. A falling edge is 0 in version 1, and 2 in version 2. */
export function edgeIn(version: GpiodVersion, row: string): Edge | null {
  const [, kind, seconds, part] = /^([012]) (\d+)[ .](\d+)$/.exec(row) ?? [];
  if (kind === undefined || seconds === undefined || part === undefined) return null;
  const rising = kind === "1";
  if (!rising && kind !== (version === 1 ? "0" : "2")) return null;
  return { level: rising ? 1 : 0, at: Number(seconds) * 1000 + Number(part) / 1e6 };
}

/**
 * The system's name of the error that a tool ended with, from its words, or an empty string. They end with the C library's
 * words for the error, and the tools are run in the C locale.
 */
export function errnoIn(words: string): string {
  const known: readonly [RegExp, string][] = [
    [/Device or resource busy/, "EBUSY"],
    [/Permission denied|Operation not permitted/, "EACCES"],
    [/No such device$/m, "ENODEV"],
    [/Invalid argument|out of range|invalid .*offset/i, "EINVAL"],
    [/No such file|cannot find|not found/i, "ENOENT"],
    [/Input\/output error/, "EIO"],
  ];
  return known.find(([pattern]) => pattern.test(words))?.[1] ?? "";
}
