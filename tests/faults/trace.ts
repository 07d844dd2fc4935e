import { basename } from "node:path";

/** What a process did to the files of its journal, in the order it was done. */
export type Event =
  | { readonly kind: "write"; readonly file: string; readonly offset: number; readonly bytes: Buffer }
  | { readonly kind: "cut"; readonly file: string; readonly size: number }
  | { readonly kind: "synced"; readonly file: string }
  /** Told on its output. */
  | { readonly kind: "said"; readonly bytes: Buffer };

/** What `strace` is to be called with, before the command. */
export function straceOptions(out: string, paths: readonly string[]): string[] {
  const calls = "trace=pwrite64,write,writev,pwritev,lseek,fsync,fdatasync,ftruncate,unlink,rename,fallocate";
  return [
    "-f",
    "-qq",
    "-y",
    "-xx",
    "-s",
    "1000000",
    "-e",
    calls,
    "-o",
    out,
    ...paths.flatMap((path) => ["-P", path]),
  ];
}

const CALL = /^\d+ +(\w+)\(\d+<([^>]*)>(?:, "((?:\\x[0-9a-f]{2})*)")?(?:, (\d+))?(?:, (\d+))?/;
const RESUMED = /^(\d+) +<\.\.\. (\w+) resumed>/;

function unhex(text: string): Buffer {
  return Buffer.from(text.replaceAll("\\x", ""), "hex");
}

/**
 * The events of a trace. A write counts from when it was begun, a sync from when it was done.
 * @param said the name of the file that the process's output goes to
 * @throws Error at a call that this does not know what to make of
 */
export function eventsOf(trace: string, said: string): Event[] {
  const events: Event[] = [];
  const syncing = new Map<string, string>();
  for (const line of trace.split("\n")) {
    const resumed = RESUMED.exec(line);
    if (resumed !== null) {
      const file = syncing.get(resumed[1] as string);
      if (file !== undefined && /sync$/.test(resumed[2] as string)) events.push({ kind: "synced", file });
      syncing.delete(resumed[1] as string);
      continue;
    }
    const found = CALL.exec(line);
    if (found === null) {
      if (line === "" || /^\d+ +(\+\+\+|---|close|unlink)/.test(line)) continue;
      throw new Error(`Not understood: ${line.slice(0, 200)}`);
    }
    const [, call, path = "", text = "", first, second] = found;
    const file = basename(path.includes("\\x") ? unhex(path).toString() : path);
    const unfinished = line.includes("<unfinished");
    if (call === "fsync" || call === "fdatasync") {
      if (unfinished) syncing.set(line.split(" ")[0] as string, file);
      else if (/= 0$/.test(line)) events.push({ kind: "synced", file });
    } else if (call === "ftruncate") {
      events.push({ kind: "cut", file, size: Number(first) });
    } else if (call === "pwrite64") {
      events.push({ kind: "write", file, offset: Number(second), bytes: unhex(text) });
    } else if (call === "write" && file === said) {
      events.push({ kind: "said", bytes: unhex(text) });
    } else {
      throw new Error(`Not understood: ${line.slice(0, 200)}`);
    }
  }
  return events;
}

const SECTOR = 512;

/**
 * A file as the disk may have it when the power goes: what was synced, and of each write since then all, none, or some of its
 * sectors. A file never synced may not even be there; that it is empty comes to the same.
 */
export function afterPowerCut(events: readonly Event[], file: string, random: () => number): Buffer {
  const own = events.filter((event) => event.kind !== "said" && event.file === file);
  const lastSync = own.findLastIndex(({ kind }) => kind === "synced");
  const most = Math.max(
    0,
    ...own.map((event) => (event.kind === "write" ? event.offset + event.bytes.length : 0)),
  );
  const bytes = Buffer.alloc(most);
  let size = 0;
  for (const [i, event] of own.entries()) {
    const sure = i < lastSync;
    if (event.kind === "cut" && (sure || random() < 0.5)) {
      bytes.fill(0, event.size);
      size = event.size;
    }
    if (event.kind !== "write") continue;
    const { offset, bytes: written } = event;
    const lot = sure ? 0 : random();
    if (lot >= 2 / 3) continue;
    size = Math.max(size, offset + written.length);
    for (let from = 0; from < written.length; from += SECTOR) {
      if (lot >= 1 / 3 && random() < 0.5) continue;
      written.copy(bytes, offset + from, from, Math.min(from + SECTOR, written.length));
    }
  }
  return bytes.subarray(0, size);
}
