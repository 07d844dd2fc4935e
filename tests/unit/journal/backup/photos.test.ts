import { randomUUID } from "node:crypto";
import { existsSync, mkdirSync, rmSync, writeFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import { makeWholeBackup, photosWords, restorePhotos } from "../../../../station/journal/backup/photos.js";
import { restore } from "../../../../station/journal/backup/restore.js";
import { acceptPhoto } from "../../../../station/trials/photos/accept.js";
import { photoFile, photoFolder } from "../../../../station/trials/photos/names.js";
import { keepPhoto } from "../../../../station/trials/photos/store.js";
import { fromPhone } from "../../trials/photos/pictures.js";
import { entry, LOTS, lotFacts } from "../../trials/plan-bench.js";
import { type Bench, emptyFolder, WALL, writerBench } from "../samples.js";

let home: ReturnType<typeof emptyFolder>;
let bench: Bench;
beforeEach(() => {
  home = emptyFolder();
  const journal = join(home.folder, "journal");
  mkdirSync(journal);
  bench = writerBench(undefined, undefined, journal);
});
afterEach(() => {
  bench.remove();
  home.remove();
});

async function photographed(): Promise<string> {
  const { sha256, jpeg, thumbnail, width, height } = await acceptPhoto(await fromPhone());
  await keepPhoto(photoFolder(bench.folder), { sha256, jpeg, thumbnail }, 0);
  const at = { wall: WALL, mono: 1000 };
  bench.put([], { name: "lotKept", params: { id: LOTS[0], facts: lotFacts(), at, by: null } });
  const body = { sha256, width, height, bytes: jpeg.byteLength, takenAt: null, note: "" };
  const kept = { ...entry("photo", LOTS[0], body), entry: randomUUID() };
  bench.put([], { name: "entriesKept", params: { entries: [kept], at } });
  return sha256;
}

it("a backup takes the photos with it, and putting it back brings those that are gone or damaged", async () => {
  const sha256 = await photographed();
  const drive = join(home.folder, "drive");
  mkdirSync(drive);
  const made = await makeWholeBackup({ journal: bench.folder, to: drive, wall: WALL, keep: null });
  expect(made.photos).toMatchObject({ copied: 1, missing: [], damaged: [] });
  const before = await readFile(photoFile(photoFolder(bench.folder), sha256, "full"));
  const again = await makeWholeBackup({ journal: bench.folder, to: drive, wall: WALL + 1000, keep: null });
  expect(again.photos.copied).toBe(0);

  writeFileSync(photoFile(photoFolder(bench.folder), sha256, "full"), "no photo");
  const fresh = join(home.folder, "fresh");
  mkdirSync(fresh);
  for (const folder of [bench.folder, fresh]) {
    if (folder === fresh) restore(made.file, fresh, "now");
    expect(await restorePhotos(made.file, folder)).toMatchObject({ copied: 1, missing: [], damaged: [] });
    expect(await readFile(photoFile(photoFolder(folder), sha256, "full"))).toEqual(before);
  }
});

it("a backup says which photos are gone or damaged, and is made all the same", async () => {
  const sha256 = await photographed();
  const drive = join(home.folder, "drive");
  mkdirSync(drive);
  rmSync(photoFile(photoFolder(bench.folder), sha256, "full"));
  const gone = await makeWholeBackup({ journal: bench.folder, to: drive, wall: WALL, keep: null });
  expect([gone.photos.missing, photosWords(gone.photos)]).toEqual([[sha256], "1 photo is missing"]);
  writeFileSync(photoFile(photoFolder(bench.folder), sha256, "full"), "no photo");
  const damaged = await makeWholeBackup({ journal: bench.folder, to: drive, wall: WALL + 1000, keep: null });
  expect([damaged.photos.damaged, photosWords(damaged.photos)]).toEqual([[sha256], "1 photo is damaged"]);
});

it.each(["no JSON", '{"sha256":null}', '{"sha256":"../../etc"}'])(
  "a photo whose entry has become %s goes with the backup and comes back, and that is said",
  async (body) => {
    const sha256 = await photographed();
    bench.db.prepare("UPDATE trial_entry SET body = ? WHERE kind = 'photo'").run(body);
    const drive = join(home.folder, "drive");
    mkdirSync(drive);
    const made = await makeWholeBackup({ journal: bench.folder, to: drive, wall: WALL, keep: null });
    expect(made.photos).toMatchObject({ copied: 1, missing: [], damaged: [], untold: 1 });
    expect(photosWords(made.photos)).toBe(
      "1 photo is named by a damaged entry, so that all photos were copied",
    );
    const fresh = join(home.folder, "fresh");
    mkdirSync(fresh);
    expect(await restorePhotos(made.file, fresh)).toMatchObject({ copied: 1, untold: 1 });
    expect(existsSync(photoFile(photoFolder(fresh), sha256, "full"))).toBe(true);
  },
);
