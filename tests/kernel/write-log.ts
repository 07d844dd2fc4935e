import { spawnSync } from "node:child_process";
import { closeSync, existsSync, fstatSync, openSync, readSync, statSync, writeSync } from "node:fs";

/**
 * The log that QEMU's block filter `blklogwrites` keeps of all that a guest writes to its disk, in the format of the kernel's
 * dm-log-writes. Source: Linux, Documentation/admin-guide/device-mapper/log-writes.rst, and drivers/md/dm-log-writes.c. A block
 * of the sector's size at the beginning holds a magic number, a version, how many entries there are, and that size; each
 * entry has a block of its own with the sector, the number of sectors and flags, and the data after it.
 */
const MAGIC = 0x6a736677736872n;
const [FLUSH, FUA, DISCARD] = [1, 2, 4];

/** Options of QEMU for a disk whose writes are logged. Its cache is volatile: only what was flushed is safe. */
export function loggedDisk(image: string, log: string): readonly string[] {
  return [
    ...["-blockdev", `driver=file,filename=${image},node-name=image`],
    ...["-blockdev", `driver=file,filename=${log},node-name=log`],
    ...["-blockdev", "driver=blklogwrites,file=image,log=log,node-name=disk,log-super-update-interval=1"],
    ...["-device", "virtio-blk-pci,drive=disk,write-cache=on"],
  ];
}

/** How many entries the log holds now, while QEMU writes it. */
export function entriesIn(log: string): number {
  if (!existsSync(log) || statSync(log).size < 24) return 0;
  const file = openSync(log, "r");
  try {
    const head = Buffer.alloc(24);
    readSync(file, head, 0, 24, 0);
    return head.readBigUInt64LE(0) === MAGIC ? Number(head.readBigUInt64LE(16)) : 0;
  } finally {
    closeSync(file);
  }
}

interface Entry {
  readonly sector: number;
  readonly sectors: number;
  readonly flags: number;
  /** Where its data begins in the log. */
  readonly at: number;
}

export interface CutFigures {
  /** Sectors that were written after the last flush, and were kept or lost. */
  kept: number;
  lost: number;
}

/**
 * Writes to `result` what a disk holds that began as `base` and lost its power after `upTo` entries of the log: all up to the
 * last flush that had come to its end, and of the sectors written after it each one or not, by chance.
 */
export function cutDisk(
  files: { readonly base: string; readonly log: string; readonly result: string },
  upTo: number,
  random: () => number,
): CutFigures {
  const copied = spawnSync("cp", ["--sparse=always", files.base, files.result]);
  if (copied.status !== 0) throw new Error(`the disk could not be copied: ${copied.stderr}`);
  const log = openSync(files.log, "r");
  const disk = openSync(files.result, "r+");
  try {
    const { entries, size } = entriesOf(log, upTo);
    const flushed = entries.findLastIndex(({ flags }) => (flags & FLUSH) !== 0) + 1;
    const figures = { kept: 0, lost: 0 };
    entries.forEach(({ sector, sectors, flags, at }, i) => {
      const data = Buffer.alloc(sectors * size);
      if ((flags & DISCARD) === 0) readSync(log, data, 0, data.length, at);
      if (i < flushed || (flags & FUA) !== 0) {
        writeSync(disk, data, 0, data.length, sector * size);
        return;
      }
      for (let each = 0; each < sectors; each += 1) {
        if (random() < 0.5) {
          figures.lost += 1;
          continue;
        }
        figures.kept += 1;
        writeSync(disk, data, each * size, size, (sector + each) * size);
      }
    });
    return figures;
  } finally {
    closeSync(log);
    closeSync(disk);
  }
}

function entriesOf(log: number, upTo: number): { entries: readonly Entry[]; size: number } {
  const head = Buffer.alloc(28);
  readSync(log, head, 0, 28, 0);
  if (head.readBigUInt64LE(0) !== MAGIC) throw new Error("this is no log of writes");
  const size = head.readUInt32LE(24);
  const end = fstatSync(log).size;
  const block = Buffer.alloc(24);
  const entries: Entry[] = [];
  for (let at = size; entries.length < upTo && at + size <= end; ) {
    readSync(log, block, 0, 24, at);
    const sectors = Number(block.readBigUInt64LE(8));
    const flags = Number(block.readBigUInt64LE(16));
    entries.push({ sector: Number(block.readBigUInt64LE(0)), sectors, flags, at: at + size });
    at += size + (flags & DISCARD ? 0 : sectors * size);
  }
  return { entries, size };
}
