import { createHash } from "node:crypto";
import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { bytesToCopy, copyPhotos } from "../../../../station/trials/photos/copies.js";
import { clearLeftOvers, takeInventory } from "../../../../station/trials/photos/inventory.js";
import { photoFile, photoFolder } from "../../../../station/trials/photos/names.js";
import { findPhoto, keepPhoto, notKept } from "../../../../station/trials/photos/store.js";
import { emptyFolder } from "../../journal/samples.js";

/** The store looks at bytes and their hash only. */
function photo(text: string) {
  const jpeg = Buffer.from(`a picture of ${text}`);
  const sha256 = createHash("sha256").update(jpeg).digest("hex");
  return { jpeg, sha256, thumbnail: Buffer.from(`small ${text}`) };
}
const ONE = photo("the marked edge");
const OTHER = photo("the back");
const NO_RESERVE = 0;

let folder = "";
let photos = "";
let remove = () => {};
beforeEach(() => {
  ({ folder, remove } = emptyFolder());
  photos = photoFolder(join(folder, "journal"));
});
afterEach(() => remove());

const filesOf = (from: string) =>
  readdirSync(from, { recursive: true, withFileTypes: true }).flatMap((found) =>
    found.isFile() ? [found.name] : [],
  );

describe("photos in their folder", () => {
  it("are there under their hash, and the same one is there once", async () => {
    await keepPhoto(photos, ONE, NO_RESERVE);
    await keepPhoto(photos, ONE, NO_RESERVE);
    await keepPhoto(photos, OTHER, NO_RESERVE);
    expect(filesOf(photos).sort()).toEqual(
      [ONE, OTHER].flatMap(({ sha256 }) => [`${sha256}.jpg`, `${sha256}.small.jpg`]).sort(),
    );
    const { file, bytes } = await findPhoto(photos, ONE.sha256, "full");
    expect(file).toBe(join(photos, ONE.sha256.slice(0, 2), `${ONE.sha256}.jpg`));
    expect(readFileSync(file)).toEqual(ONE.jpeg);
    expect(bytes).toBe(ONE.jpeg.length);
    expect(readFileSync((await findPhoto(photos, ONE.sha256, "small")).file)).toEqual(ONE.thumbnail);
  });

  it("a good file is left as it is, a damaged one is mended by the same picture", async () => {
    await keepPhoto(photos, ONE, NO_RESERVE);
    const file = photoFile(photos, ONE.sha256, "full");
    truncateSync(file, 3);
    await keepPhoto(photos, ONE, NO_RESERVE);
    expect(readFileSync(file)).toEqual(ONE.jpeg);
  });

  it.each([
    "../../etc/passwd",
    `${ONE.sha256}/..`,
    `../${ONE.sha256}`,
    ONE.sha256.toUpperCase(),
    `${ONE.sha256}\n`,
    ONE.sha256.slice(1),
    "",
  ])("a name that is no hash leads nowhere: %j", async (name) => {
    expect(() => photoFile(photos, name, "full")).toThrow(/64 hexadecimal digits/);
    await expect(findPhoto(photos, name, "small")).rejects.toMatchObject({ code: "photo-unknown" });
  });

  it("one that is not there is said to be so", async () => {
    await expect(findPhoto(photos, ONE.sha256, "full")).rejects.toMatchObject({ code: "photo-unknown" });
  });
});

describe("a disk that takes no more", () => {
  it("leaves the last of the disk to the journal", async () => {
    await expect(keepPhoto(photos, ONE, 1e18)).rejects.toMatchObject({
      code: "photo-not-kept",
      message: expect.stringMatching(/Make room/),
    });
    expect(filesOf(photos)).toEqual([]);
  });

  it("leaves no photo where something else stands in its place", async () => {
    // A folder stands where the photo would go: it cannot be read as one, nor be replaced by one.
    mkdirSync(photoFile(photos, ONE.sha256, "full"), { recursive: true });
    await expect(keepPhoto(photos, ONE, NO_RESERVE)).rejects.toMatchObject({ code: "photo-not-kept" });
    expect(filesOf(photos).filter((name) => !name.endsWith(".small.jpg"))).toEqual([]);
  });

  it("says in words what the disk said", () => {
    const error = Object.assign(new Error("ENOSPC: no space left on device, write"), { code: "ENOSPC" });
    expect(notKept(error)).toMatchObject({
      code: "photo-not-kept",
      message: expect.stringMatching(/disk is full/),
    });
  });
});

describe("files against rows", () => {
  it("tells what is missing, damaged, without a row, and not the station's", async () => {
    const third = photo("the residue");
    for (const one of [ONE, OTHER, third]) await keepPhoto(photos, one, NO_RESERVE);
    expect(await takeInventory(photos, [ONE.sha256, OTHER.sha256, third.sha256])).toEqual({
      missing: [],
      damaged: [],
      strays: [],
      others: [],
    });
    writeFileSync(photoFile(photos, third.sha256, "full"), "something else");
    rmSync(photoFile(photos, OTHER.sha256, "small"));
    writeFileSync(join(photos, "notes.txt"), "mine");
    const gone = photo("what is gone").sha256;
    expect(await takeInventory(photos, [OTHER.sha256, third.sha256, gone])).toEqual({
      missing: [OTHER.sha256, gone],
      damaged: [third.sha256],
      strays: [ONE.sha256],
      others: ["notes.txt"],
    });
  });

  it("a folder that is not there has no files", async () => {
    expect(await takeInventory(photos, [ONE.sha256])).toMatchObject({ missing: [ONE.sha256], strays: [] });
  });

  it("clears away what was not whole, and nothing else", async () => {
    await keepPhoto(photos, ONE, NO_RESERVE);
    writeFileSync(`${photoFile(photos, ONE.sha256, "full")}.partial`, "half");
    writeFileSync(join(photos, "kept.partial"), "mine");
    mkdirSync(join(photos, "incoming"));
    writeFileSync(join(photos, "incoming", "1"), "half");
    await clearLeftOvers(photos);
    expect(filesOf(photos).sort()).toEqual(
      [`${ONE.sha256}.jpg`, `${ONE.sha256}.small.jpg`, "kept.partial"].sort(),
    );
  });
});

describe("photos in a backup", () => {
  let drive = "";
  beforeEach(async () => {
    drive = photoFolder(join(folder, "drive"));
    for (const one of [ONE, OTHER]) await keepPhoto(photos, one, NO_RESERVE);
  });
  const hashes = [ONE.sha256, OTHER.sha256];
  const backUp = () => ({ from: photos, to: drive, hashes, knownBy: "size" }) as const;
  const putBack = () => ({ from: drive, to: photos, hashes, knownBy: "content" }) as const;
  const all = ONE.jpeg.length + ONE.thumbnail.length + OTHER.jpeg.length + OTHER.thumbnail.length;

  it("are copied once, and come back as they were", async () => {
    expect(await bytesToCopy(backUp())).toBe(all);
    expect(await copyPhotos(backUp())).toEqual({ copied: 2, bytes: all, missing: [], damaged: [] });
    expect(await bytesToCopy(backUp())).toBe(0);
    expect(await copyPhotos(backUp())).toMatchObject({ copied: 0, bytes: 0 });

    rmSync(photos, { recursive: true });
    expect(await copyPhotos(putBack())).toMatchObject({ copied: 2, missing: [] });
    expect(await takeInventory(photos, hashes)).toMatchObject({ missing: [], damaged: [], strays: [] });
  });

  it("are not taken away with what is gone here", async () => {
    await copyPhotos(backUp());
    rmSync(photoFile(photos, ONE.sha256, "full"));
    expect(await copyPhotos(backUp())).toEqual({ copied: 0, bytes: 0, missing: [], damaged: [] });
    expect(readFileSync(photoFile(drive, ONE.sha256, "full"))).toEqual(ONE.jpeg);
    expect((await copyPhotos({ ...backUp(), hashes: [photo("gone").sha256] })).missing).toHaveLength(1);
  });

  it("a damaged one is told of, does not get there, and does not stop the rest", async () => {
    writeFileSync(photoFile(photos, ONE.sha256, "full"), "something else");
    expect(await copyPhotos(backUp())).toMatchObject({ damaged: [ONE.sha256], missing: [] });
    expect(filesOf(drive).sort()).toEqual(
      [`${OTHER.sha256}.jpg`, `${OTHER.sha256}.small.jpg`, `${ONE.sha256}.small.jpg`].sort(),
    );
    expect(existsSync(photoFile(drive, ONE.sha256, "full"))).toBe(false);
  });

  it("put back what was damaged, though its size is the same", async () => {
    await copyPhotos(backUp());
    writeFileSync(photoFile(photos, ONE.sha256, "full"), Buffer.alloc(ONE.jpeg.length));
    expect(await copyPhotos(putBack())).toMatchObject({ copied: 1, damaged: [] });
    expect(readFileSync(photoFile(photos, ONE.sha256, "full"))).toEqual(ONE.jpeg);
  });
});
