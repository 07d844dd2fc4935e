import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { JOURNAL_FILE, openForWriting } from "../../station/journal/database.js";
import type { Copy } from "./filled.js";

export interface Files {
  readonly file: Buffer;
  readonly wal: Buffer | null;
}

/** Puts files in a folder of their own, hands it over, and takes it away. */
export function inFolder<T>({ file, wal }: Files, use: (folder: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), "torn-"));
  try {
    writeFileSync(join(folder, JOURNAL_FILE), file);
    if (wal !== null) writeFileSync(join(folder, `${JOURNAL_FILE}-wal`), wal);
    return use(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The same journal with all of its WAL in the file, as the last connection leaves it. */
export function folded(copy: Files): Files {
  return inFolder(copy, (folder) => {
    openForWriting(folder, { busyTimeoutMs: 0 }).close();
    return { file: readFileSync(join(folder, JOURNAL_FILE)), wal: null };
  });
}

function truncated(bytes: Buffer, random: () => number): Buffer {
  return bytes.subarray(0, Math.floor(random() * bytes.length));
}

/** One to four sectors, given back as zeros or as anything. */
function spoiled(bytes: Buffer, sector: number, fill: "zeros" | "noise", random: () => number): Buffer {
  const copy = Buffer.from(bytes);
  for (let n = 1 + Math.floor(random() * 4); n > 0; n--) {
    const from = Math.floor((random() * copy.length) / sector) * sector;
    const to = Math.min(copy.length, from + sector);
    for (let i = from; i < to; i++) copy[i] = fill === "zeros" ? 0 : Math.floor(random() * 256);
  }
  return copy;
}

export interface Damage {
  readonly name: string;
  /** Whether nothing may be missing, because whatever was committed lies elsewhere than in what was damaged, or is seen to be gone. */
  readonly whole: boolean;
  /** Whether the file and the WAL are of different times. */
  readonly swapped?: boolean;
  /** @param earlier a copy of the same journal from before */
  do(copy: Copy, earlier: Copy, random: () => number): Files;
}

function onWal(name: string, change: (wal: Buffer, random: () => number) => Buffer | null): Damage {
  return {
    name: `WAL ${name}`,
    whole: false,
    do: ({ file, wal }, _, random) => ({ file, wal: wal === null ? null : change(wal, random) }),
  };
}

function onFile(name: string, change: (file: Buffer, random: () => number) => Buffer): Damage[] {
  return [
    {
      name: `file ${name}`,
      whole: true,
      do(copy, _, random) {
        const { file } = folded(copy);
        return { file: change(file, random), wal: null };
      },
    },
    {
      name: `file ${name}, beside its WAL`,
      whole: true,
      do: ({ file, wal }, _, random) => ({ file: change(file, random), wal }),
    },
  ];
}

export const DAMAGES: readonly Damage[] = [
  onWal("gone", () => null),
  onWal("truncated", truncated),
  onWal("with sectors of zeros", (wal, random) => spoiled(wal, 512, "zeros", random)),
  onWal("with pages of zeros", (wal, random) => spoiled(wal, 4096, "zeros", random)),
  onWal("with sectors of noise", (wal, random) => spoiled(wal, 512, "noise", random)),
  ...onFile("truncated", truncated),
  ...onFile("with sectors of zeros", (file, random) => spoiled(file, 512, "zeros", random)),
  ...onFile("with pages of zeros", (file, random) => spoiled(file, 4096, "zeros", random)),
  ...onFile("with sectors of noise", (file, random) => spoiled(file, 512, "noise", random)),
  { name: "an older WAL", whole: false, swapped: true, do: ({ file }, { wal }) => ({ file, wal }) },
  { name: "an older file", whole: false, swapped: true, do: ({ wal }, { file }) => ({ file, wal }) },
];
