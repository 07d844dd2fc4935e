import { readdir, realpath } from "node:fs/promises";
import { join } from "node:path";

export interface SerialFound {
  /** The name that stays with the board. */
  readonly path: string;
  /** Where that leads now, such as /dev/ttyUSB0; null where it leads nowhere. */
  readonly device: string | null;
}

/** The boards that have a name of their own. None is opened. */
export async function findSerial(byIdFolder: string): Promise<readonly SerialFound[]> {
  const names = await readdir(byIdFolder).catch((): string[] => []);
  return Promise.all(
    names.sort().map(async (name) => {
      const path = join(byIdFolder, name);
      return { path, device: await deviceOf(path) };
    }),
  );
}

export function deviceOf(path: string): Promise<string | null> {
  return realpath(path).catch(() => null);
}

/** "usb-workshop_board_0001-if00-port0" as somebody would say it: "workshop board 0001". */
export function boardTitle(path: string): string {
  const name = path.split("/").at(-1) ?? path;
  const words = name
    .replace(/^usb-/, "")
    .replace(/-if\d+(-port\d+)?$/, "")
    .replaceAll("_", " ")
    .trim();
  return words === "" ? name : words;
}
