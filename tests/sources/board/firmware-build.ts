import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const SKETCH = fileURLToPath(new URL("../../../firmware-notes/sketch", import.meta.url));
/** The clock that the firmware is built for, which is the emulated chip's too. */
export const CLOCK_HZ = 16_000_000;

/** What is not here of what builds the firmware, in words for the name of the tests; empty where all is. */
export function whyNotBuilt(): string {
  const tried = spawnSync(
    "avr-gcc",
    ["-mmcu=atmega328p", "-DF_CPU=16000000UL", "-E", "-include", "avr/io.h", "-"],
    {
      input: "",
      encoding: "utf8",
    },
  );
  const missing = [
    ...(tried.error !== undefined ? ["gcc-avr"] : tried.status !== 0 ? ["avr-libc"] : []),
    ...(spawnSync("make", ["--version"]).status === 0 ? [] : ["make"]),
  ];
  return missing.length === 0 ? "" : ` (NOT RUN, not here: ${missing.join(", ")})`;
}

/** The firmware, built in a folder that is gone again: the words of the chip's flash. */
export function buildFirmware(): Uint16Array {
  const folder = mkdtempSync(join(tmpdir(), "firmware-"));
  try {
    const words = [`F_CPU=${CLOCK_HZ}UL`, `OUT=${folder}`];
    execFileSync("make", ["-s", "-C", SKETCH, ...words], { stdio: ["ignore", "ignore", "inherit"] });
    const flash = new Uint8Array(32 * 1024);
    flash.set(readFileSync(join(folder, "firmware.bin")));
    return new Uint16Array(flash.buffer);
  } finally {
    rmSync(folder, { recursive: true });
  }
}
