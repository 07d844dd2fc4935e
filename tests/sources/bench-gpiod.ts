import { execFileSync } from "node:child_process";
import { chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type GpiodTools, installedTools } from "../../station/sources/gpio/gpiod-tools.js";
import type { Level } from "../../station/sources/gpio/line.js";

/**
 * Shell scripts with the names, options and words of libgpiod's tools (1.6.3 and 2.2.1, from their own output), over a folder
 * that stands for one chip, of eight lines where nothing else is said: a tool that holds a line keeps the others off it, as the
 * kernel does. What the real tools and a real kernel do is tested where one is booted.
 */
const COMMON = `
folder=$(dirname "$0")
v=$(cat "$folder/major")
lines=$(cat "$folder/lines")
held() { [ -s "$folder/holder-$1" ] && kill -0 "$(cat "$folder/holder-$1")" 2>/dev/null; }
refuse() {
  [ -e "$folder/closed" ] && { echo "$(basename "$0"): unable to open chip: Permission denied" >&2; exit 1; }
  held "$1" && { echo "$(basename "$0"): error requesting line: Device or resource busy" >&2; exit 1; }
  return 0
}
hold() { echo "$(basename "$0") $*" >> "$folder/calls"; echo $$ > "$folder/holder-$1"; }
survey() { echo "$(basename "$0")" >> "$folder/surveys"; sleep 0.1; }
line() { for last; do :; done; echo "\${last%%=*}"; }
`;
const SCRIPTS = {
  gpiodetect: `
[ "$1" = --version ] && {
  [ "$v" = 1 ] && echo "gpiodetect (libgpiod) v1.6.3" || echo "gpiodetect v2.2.1 (libgpiod v2.2.1)"; exit 0; }
survey
echo "gpiochip0 [pinctrl-bcm2711] ($lines lines)"`,
  gpioinfo: `
survey
echo "gpiochip0 - $lines lines:"
for ((n = 0; n < lines; n++)); do
  name=unnamed; [ "$n" = 5 ] && name='"lid-switch"'
  if [ "$v" = 1 ]; then
    if held "$n"; then echo "	line   $n: $name    \\"gpiomon\\"   input  active-high [used]"
    else echo "	line   $n:      $name       unused   input  active-high "; fi
  else
    if held "$n"; then echo "	line   $n:	$name	input edges=both consumer=\\"gpiomon\\""
    else echo "	line   $n:	$name	input"; fi
  fi
done`,
  gpioget: `
n=$(line "$@"); refuse "$n"; echo "gpioget $*" >> "$folder/calls"; cat "$folder/level-$n" 2>/dev/null || echo 0`,
  gpiomon: `
n=$(line "$@"); refuse "$n"; hold "$n" "$@"; exec 3<> "$folder/edges-$n"
while read -r row <&3; do echo "$row"; done`,
  gpioset: `
n=$(line "$@"); refuse "$n"; for last; do :; done
case " $* " in *" --mode=exit "*|*" --toggle 0 "*) echo "\${last##*=}" > "$folder/level-$n"; exit 0;; esac
hold "$n" "$@"; [ -e "$folder/slow" ] && sleep 5
echo "\${last##*=}" > "$folder/level-$n"
exec 3<> "$folder/edges-$n"; read -r _ <&3`,
};

export class BenchGpiod {
  readonly folder = mkdtempSync(join(tmpdir(), "gpiod-"));
  readonly tools: GpiodTools = installedTools(`${this.folder}:${process.env.PATH}`);

  constructor(
    readonly major: 1 | 2,
    readonly lines = 8,
  ) {
    writeFileSync(join(this.folder, "major"), `${major}\n`);
    writeFileSync(join(this.folder, "lines"), `${lines}\n`);
    for (const [name, body] of Object.entries(SCRIPTS)) this.#script(name, body);
    execFileSync(
      "mkfifo",
      Array.from({ length: lines }, (_, n) => join(this.folder, `edges-${n}`)),
    );
  }

  /** Only moves the level: the edge is not told, as one that came while nobody held the line. */
  put(line: number, level: Level): void {
    writeFileSync(join(this.folder, `level-${line}`), `${level}\n`);
  }

  /** Moves the level, and has gpiomon tell of the edge. @param at when, monotonic milliseconds */
  move(line: number, level: Level, at: number): void {
    this.put(line, level);
    const [s, ns] = [Math.floor(at / 1000), Math.round((at % 1000) * 1e6)];
    const kind = level === 1 ? 1 : this.major === 1 ? 0 : 2;
    const stamp = this.major === 1 ? `${s} ${ns}` : `${s}.${String(ns).padStart(9, "0")}`;
    writeFileSync(join(this.folder, `edges-${line}`), `${kind} ${stamp}\n`);
  }

  /** The process that holds the line now, null where none does. */
  holder(line: number): number | null {
    const file = join(this.folder, `holder-${line}`);
    if (!existsSync(file)) return null;
    const pid = Number(readFileSync(file, "utf8"));
    try {
      process.kill(pid, 0);
      return pid;
    } catch {
      return null;
    }
  }

  level(line: number): string {
    return readFileSync(join(this.folder, `level-${line}`), "utf8").trim();
  }

  /** What the tools that take a line were called with, in order. */
  calls(): readonly string[] {
    return this.#rows("calls");
  }

  /** Which tools have looked at all lines, in order. */
  surveys(): readonly string[] {
    return this.#rows("surveys");
  }

  #rows(name: string): readonly string[] {
    const file = join(this.folder, name);
    return existsSync(file) ? readFileSync(file, "utf8").trim().split("\n") : [];
  }

  close(closed: boolean): void {
    const file = join(this.folder, "closed");
    if (closed) writeFileSync(file, "");
    else rmSync(file, { force: true });
  }

  /** From now on a gpioset that holds its line comes to driving it long after it was started. */
  slowDown(): void {
    writeFileSync(join(this.folder, "slow"), "");
  }

  remove(): void {
    for (let n = 0; n < this.lines; n += 1) {
      const pid = this.holder(n);
      if (pid !== null) process.kill(pid, "SIGKILL");
    }
    rmSync(this.folder, { recursive: true, force: true });
  }

  #script(name: string, body: string): void {
    const file = join(this.folder, name);
    mkdirSync(this.folder, { recursive: true });
    writeFileSync(file, `#!/bin/bash\n${COMMON}${body}\n`);
    chmodSync(file, 0o755);
  }
}
