import { chmodSync, mkdirSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";

/** A station's wall clock, and what the system says of it, held by a test; the monotonic one is the machine's own. */
export interface ClockRig {
  /** For the process of the station. */
  readonly env: Readonly<Record<string, string>>;
  /** Sets the wall clock off by so many milliseconds, and what `timedatectl` says of it. */
  set(off: number, synchronised: "yes" | "no"): void;
}

/** What a Pi without a battery may wake up with: days after 1970. */
export function wrongBy(): number {
  return Date.UTC(1970, 0, 5) - Date.now();
}

/** @param folder where its files are kept */
export function clockRig(folder: string): ClockRig {
  const bin = join(folder, "bin");
  mkdirSync(bin);
  // Stands for the system's own, which says whether a time source has set the clock.
  writeFileSync(join(bin, "timedatectl"), `#!/bin/sh\ncat "${join(folder, "set")}"\n`);
  chmodSync(join(bin, "timedatectl"), 0o755);

  /** At once: a reader sees the old text or the new. */
  function put(name: string, text: string): void {
    writeFileSync(join(folder, `${name}.new`), text);
    renameSync(join(folder, `${name}.new`), join(folder, name));
  }

  return {
    env: {
      PATH: `${bin}:${process.env.PATH}`,
      NODE_OPTIONS: `--import=${new URL("./set-clock.mjs", import.meta.url).href}`,
      STATION_TEST_CLOCK: join(folder, "off"),
    },
    set(off, synchronised) {
      put("set", `${synchronised}\n`);
      put("off", String(off));
    },
  };
}
