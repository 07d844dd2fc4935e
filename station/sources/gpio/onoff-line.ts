import { createRequire } from "node:module";
import type { Level } from "./line.js";
import type { SysfsLine, SysfsLineFactory } from "./sysfs.js";

const require = createRequire(import.meta.url);

/**
 * Lines of the library `onoff`. It is loaded when the first line is asked for, because it needs a compiled part that a
 * station without such lines can do without. The polarity is always set to the pin's own: a program that ended badly may
 * have left it inverted.
 *
 * What cannot be mended from outside: the library takes a line, and gives it back, with synchronous calls. While it takes
 * one that was not exported before, it tries up to 10,000 times in a row to open the files of the line, until the system has
 * granted them (70 ms and more where it never does). The station asks for leave first, which keeps it from trying that where the files are
 * there and closed to the station, so it can happen once a line.
 */
export const onoffLines: SysfsLineFactory = (number, direction, edge) => {
  const { Gpio } = require("onoff") as typeof import("onoff");
  return guarded(new Gpio(number, direction, edge, { activeLow: false }));
};

/** The part of the library's line that matters here. Its own handler of an edge calls `readSync` and looks at the level. */
export interface OnoffLine extends SysfsLine {
  readSync(): number;
}

const NEITHER_LEVEL = -1;

/**
 * A line that is lost while it is watched: the library reads it in its handler of the edge, where nobody can catch what that
 * throws, so the process would end. Here such a line is watched no more, and the next look at it says what was thrown.
 */
export function guarded(line: OnoffLine): SysfsLine {
  let lost: { readonly error: unknown } | null = null;
  const readNow = line.readSync.bind(line);
  line.readSync = () => {
    try {
      return readNow();
    } catch (error) {
      lost = { error };
      unwatch(line);
      return NEITHER_LEVEL;
    }
  };
  const unlessLost = <T>(act: () => Promise<T>): Promise<T> =>
    lost === null ? act() : Promise.reject(lost.error);
  return {
    read: () => unlessLost(() => line.read()),
    write: (level: Level) => unlessLost(() => line.write(level)),
    watch: (callback) => line.watch(callback),
    unwatchAll: () => line.unwatchAll(),
    unexport: () => line.unexport(),
  };
}

function unwatch(line: SysfsLine): void {
  try {
    line.unwatchAll();
  } catch {
    // The poller has lost it as well.
  }
}
