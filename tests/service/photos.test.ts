import { execFileSync, spawnSync } from "node:child_process";
import { readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { createPhotoDesk, type PhotoDesk } from "../../station/trials/photos/desk.js";
import { takeInventory } from "../../station/trials/photos/inventory.js";
import { PHOTO_LIMITS } from "../../station/trials/photos/limits.js";
import { createPictures, PICTURES, type Pictures } from "../../station/trials/photos/pictures.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { drawing, fromPhone } from "../unit/trials/photos/pictures.js";
import { IN_MEMORY, smallDisk, whyNone } from "./small-disk.js";
import { eventually, temporaryFolder } from "./station-process.js";

const BUILT = new URL("../../.build/station/trials/photos/", import.meta.url);
const url = new URL("picture-process.js", BUILT);

let folder = "";
let remove = () => {};
let pictures: Pictures;
let desk: PhotoDesk;
/** How many pictures the process was asked for. */
let asked = 0;
beforeAll(buildIfMissing);
beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
  open({});
});
afterEach(async () => {
  await pictures.close();
  remove();
});

function open(parts: Partial<typeof PICTURES>): void {
  pictures = createPictures({ ...PICTURES, ...parts, url });
  const counted: Pictures = {
    ...pictures,
    call(name, params) {
      asked += 1;
      return pictures.call(name, params);
    },
  };
  desk = createPhotoDesk({ folder, reserveBytes: 0, pictures: counted });
}

async function* inPieces(bytes: Uint8Array, size = 1000): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}

const incoming = () => readdirSync(join(folder, "incoming"));

describe("photos that come in", () => {
  it("are kept, each as it came, though they come at once", async () => {
    const sent = await Promise.all(
      [100, 200, 300].map(async (width) => ({ width, bytes: await drawing(width, 80).png().toBuffer() })),
    );
    const kept = await Promise.all(sent.map(({ bytes }) => desk.take(inPieces(bytes))));
    expect(kept.map(({ width }) => width)).toEqual([100, 200, 300]);
    expect(
      await takeInventory(
        folder,
        kept.map(({ sha256 }) => sha256),
      ),
    ).toEqual({
      missing: [],
      damaged: [],
      strays: [],
      others: [],
    });
    expect(incoming()).toEqual([]);
    expect(await desk.take(inPieces(await fromPhone()))).toMatchObject({
      width: 300,
      height: 400,
      takenAt: "2026-05-04T12:30:15+02:00",
    });
  });

  it("what is refused says why, and leaves nothing", async () => {
    await expect(desk.take(inPieces(Buffer.from("<svg><script/></svg>")))).rejects.toMatchObject({
      code: "photo-type",
    });
    expect(incoming()).toEqual([]);
    expect(await takeInventory(folder, [])).toMatchObject({ strays: [], others: [] });
  });

  it("one without end is not read to its end", async () => {
    let pieces = 0;
    async function* endless(): AsyncGenerator<Uint8Array> {
      for (;;) {
        pieces += 1;
        yield Buffer.alloc(1e6);
      }
    }
    await expect(desk.take(endless())).rejects.toMatchObject({ code: "photo-too-large" });
    expect(pieces).toBe(PHOTO_LIMITS.bytes / 1e6 + 1);
    expect(incoming()).toEqual([]);
  });

  it("one that breaks off leaves nothing", async () => {
    async function* broken(): AsyncGenerator<Uint8Array> {
      yield Buffer.alloc(1000);
      throw new Error("aborted");
    }
    await expect(desk.take(broken())).rejects.toMatchObject({ code: "photo-not-read", status: 503 });
    expect(incoming()).toEqual([]);
  });

  it("more than can be looked at are told to come again", async () => {
    const held: (() => void)[] = [];
    async function* slow(): AsyncGenerator<Uint8Array> {
      await new Promise<void>((go) => held.push(go));
      yield Buffer.from("a text");
    }
    const taken = Array.from({ length: 16 }, () => desk.take(slow()).catch((error: Error) => error));
    await expect(desk.take(slow())).rejects.toMatchObject({ code: "photo-busy" });
    await eventually(() => held.length === 16, "sixteen photos inside");
    for (const go of held) go();
    for (const error of await Promise.all(taken)) expect(error).toMatchObject({ code: "photo-type" });
  });

  it("what the last start left unfinished is cleared away", async () => {
    await desk.take(inPieces(await fromPhone()));
    writeFileSync(join(folder, "incoming", "7"), "half");
    desk = createPhotoDesk({ folder, reserveBytes: 0, pictures });
    await desk.take(inPieces(await fromPhone()));
    expect(incoming()).toEqual([]);
  });
});

describe("the process that reads pictures", () => {
  /** Ends the process over each of so many tries at a large picture. */
  async function endedOver(tries: number, signal: NodeJS.Signals): Promise<unknown> {
    await desk.take(inPieces(await fromPhone()));
    const large = await drawing(4000, 3000).png({ compressionLevel: 1 }).toBuffer();
    // The one that is there stands still, so that it cannot be done before it is ended.
    const first = pictures.pid() as number;
    process.kill(first, "SIGSTOP");
    const before = asked;
    const taking = desk.take(inPieces(large, 1e6)).catch((error: Error) => error);
    await eventually(() => asked > before, "the process to be asked");
    let ended = -1;
    for (let i = 0; i < tries; i++) {
      await eventually(() => pictures.pid() !== null && pictures.pid() !== ended, "a process");
      ended = pictures.pid() as number;
      process.kill(ended, signal);
      // What stands still ends by no signal but SIGKILL before it goes on.
      if (ended === first) process.kill(ended, "SIGCONT");
    }
    const answer = await taking;
    expect(incoming()).toEqual([]);
    // Whatever became of it, the next is read.
    await desk.take(inPieces(await fromPhone()));
    expect(pictures.pid()).not.toBe(ended);
    return answer;
  }

  it("may end over a picture, which is then read by another", async () => {
    expect(await endedOver(1, "SIGKILL")).toMatchObject({ width: 2048 });
  });

  it("is out of memory where the system ends it twice, and the picture may come again", async () => {
    expect(await endedOver(2, "SIGKILL")).toMatchObject({ code: "photo-not-read", status: 503 });
  });

  it("gives a picture up that ends it twice by itself", async () => {
    expect(await endedOver(2, "SIGSEGV")).toMatchObject({
      code: "photo-unreadable",
      message: expect.stringMatching(/gave up/),
    });
  });

  it("is ended over a picture that takes too long", async () => {
    open({ longestMs: 1 });
    await expect(desk.take(inPieces(await fromPhone()))).rejects.toMatchObject({ code: "photo-unreadable" });
  });

  it("ends when there is nothing to do, and is there again for the next", async () => {
    open({ idleMs: 1 });
    await desk.take(inPieces(await fromPhone()));
    await eventually(() => pictures.pid() === null, "the process to end");
    await desk.take(inPieces(await fromPhone()));
  });

  it("finishes what it was asked for, and ends with the station", async () => {
    const taking = desk.take(inPieces(await fromPhone()));
    await eventually(() => pictures.pid() !== null, "the process to begin");
    const pid = pictures.pid() as number;
    await pictures.close();
    expect(await taking).toMatchObject({ width: 300 });
    expect(() => process.kill(pid, 0)).toThrow(/ESRCH/);
  });

  it("ends with a station that was killed", async () => {
    const script = `
      import { createPictures } from ${JSON.stringify(new URL("pictures.js", BUILT).href)};
      const pictures = createPictures();
      pictures.call("keep", { file: "none", folder: ".", reserveBytes: 0, limits: {} }).catch(() => {
        console.log(pictures.pid());
        process.kill(process.pid, "SIGKILL");
      });`;
    const { stdout } = spawnSync(process.execPath, ["--input-type=module", "-e", script], {
      encoding: "utf8",
    });
    const pid = Number(stdout);
    expect(pid).toBeGreaterThan(0);
    await eventually(() => !isAlive(pid), "the process to end with its parent");
  });
});

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    // One that has ended and waits for a parent to ask for it is still in the list.
    return !/^State:\s+Z/m.test(execFileSync("cat", [`/proc/${pid}/status`], { encoding: "utf8" }));
  } catch {
    return false;
  }
}

const none = whyNone(IN_MEMORY);
describe.skipIf(none !== null)(`a disk that is full${none === null ? "" : ` (${none})`}`, () => {
  it("keeps nothing half, and says that it is full", async () => {
    const disk = await smallDisk(IN_MEMORY, 4e6);
    try {
      await disk.fillUp(500_000);
      const script = `
        import { writeWhole } from ${JSON.stringify(new URL("whole-file.js", BUILT).href)};
        import { notKept } from ${JSON.stringify(new URL("store.js", BUILT).href)};
        await writeWhole(${JSON.stringify(`${disk.folder}/ab/photo`)}, Buffer.alloc(1e6)).catch((e) => console.log(notKept(e).message));`;
      const [command = "", ...through] = disk.through;
      const said = execFileSync(
        command,
        [...through, process.execPath, "--input-type=module", "-e", script],
        {
          encoding: "utf8",
        },
      );
      expect(said).toMatch(/disk is full/);
      expect(await disk.run("ls $D/ab")).toBe("");
      expect(await disk.run("ls $D")).toMatch(/ab/);
    } finally {
      await disk.remove();
    }
  });
});
