import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { stringify } from "yaml";
import type { RoleChange, SetupFile, SetupView } from "../../station/model/setup.js";
import { SysFolder } from "./bench-rig.js";
import { IN_MEMORY, type SmallDisk, smallDisk, whyNone } from "./small-disk.js";
import { type StationProcess, startStation, temporaryFolder } from "./station-process.js";

const none = whyNone(IN_MEMORY);

/** The journal has its own disk here: it is the one of the configuration that is full. */
describe.skipIf(none !== null)(
  `station.yaml on a disk that is full${none === null ? "" : `: ${none}`}`,
  () => {
    let disk: SmallDisk;
    let outside: ReturnType<typeof temporaryFolder>;
    let station: StationProcess | null = null;

    beforeEach(async () => {
      disk = await smallDisk(IN_MEMORY, 4e6);
      outside = temporaryFolder();
    });
    afterEach(async () => {
      await station?.stop();
      await disk.remove();
      outside.remove();
    });

    it("stays as it was, says why, leaves nothing beside it, and is written once there is room", async () => {
      const sys = new SysFolder(outside.folder);
      const config = {
        coolant_range: { low: 16, high: 21 },
        sources: [{ id: "water-probe", driver: "kernel-1-wire", device: sys.probe, every_s: 1 }],
        channels: [{ id: "coolant-in", name: "Water", kind: "coolant-inlet", source: "water-probe" }],
      };
      const first = join(outside.folder, "first.yaml");
      writeFileSync(first, `# My own words\n${`# ${"x".repeat(98)}\n`.repeat(100)}${stringify(config)}`);
      await disk.run(`cp ${first} $D/station.yaml`);
      station = await startStation(outside.folder, null, {
        through: disk.through,
        more: ["--config", join(disk.folder, "station.yaml"), "--sys-root", sys.root],
      });
      const rename: RoleChange = {
        ...{ act: "give", key: `probe:${sys.probe}`, point: "temperature", kind: "coolant-inlet" },
        ...{ name: "Water before the tube", activeLow: false, first: null },
      };
      const { file } = await station.get<SetupView>("/api/setup");
      const write = () => station?.send("PUT", "/api/setup/file", { change: rename, hash: file.hash });
      const onDisk = () => disk.run("cat $D/station.yaml");
      const before = await onDisk();

      await disk.fillUp(18_000);
      expect(await write()).toMatchObject({
        status: 507,
        body: {
          code: "config-not-written",
          detail: expect.stringMatching(/the disk is full.*as it was before/),
        },
      });
      expect(await onDisk()).toBe(before);
      expect(await disk.run("ls $D")).toBe("filling\nstation.yaml");
      const after = await station.get<SetupView>("/api/setup");
      expect(after.file).toMatchObject({ hash: file.hash, back: false, trouble: null });

      await disk.makeRoom();
      expect((await write())?.body as SetupFile).toMatchObject({ pending: true, back: true });
      expect(await onDisk()).toMatch(/^# My own words\n[\s\S]*name: Water before the tube/);
    });
  },
);
