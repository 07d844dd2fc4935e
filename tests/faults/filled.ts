import { readFileSync } from "node:fs";
import { join } from "node:path";
import { JOURNAL_FILE } from "../../station/journal/database.js";
import type { Maintenance, SettingChange } from "../../station/journal/protocol.js";
import type { AlarmTransition } from "../../station/model/alarm.js";
import type { Deed } from "../../station/model/deed.js";
import type { Reading } from "../../station/model/reading.js";
import type { Run } from "../../station/model/run.js";
import {
  type Bench,
  channel,
  emptyFolder,
  ended,
  openRun,
  sessionStart,
  transition,
  WALL,
  writerBench,
} from "../unit/journal/samples.js";

export const CHANNELS = ["coolant", "room", "fan"] as const;
export const HOUR = 3_600_000;
const PARCEL_MS = 60_000;
const PARCELS = 150;
const STARTS = 3;

/** What was in the journal after some commit: so many of each, in the order they were given. */
export interface State {
  readonly readings: number;
  readonly runs: readonly Run[];
  readonly alarms: number;
  readonly settings: number;
  readonly maintenance: number;
  readonly deeds: number;
}

/** A copy of the files at some moment, with no write under way. */
export interface Copy {
  readonly file: Buffer;
  readonly wal: Buffer | null;
  /** Commits up to then; the state after each is in `Filled.states`. */
  readonly commits: number;
}

/** Everything that was written, and copies taken meanwhile. */
export interface Filled {
  readonly readings: readonly { readonly boot: string; readonly reading: Reading }[];
  readonly alarms: readonly AlarmTransition[];
  readonly settings: readonly SettingChange[];
  readonly maintenance: readonly Maintenance[];
  readonly deeds: readonly Deed[];
  readonly states: readonly State[];
  readonly copies: readonly Copy[];
  readonly boots: readonly string[];
}

/** A journal of three starts of some hours each, sealed as it goes, with copies of its files from many moments. */
export function fill(random: () => number, copies: number): Filled {
  const { folder, remove } = emptyFolder();
  const below = (n: number) => Math.floor(random() * n);
  const readings: { boot: string; reading: Reading }[] = [];
  const alarms: AlarmTransition[] = [];
  const settings: SettingChange[] = [];
  const maintenance: Maintenance[] = [];
  const deeds: Deed[] = [];
  let runs: readonly Run[] = [];
  const states: State[] = [];
  const taken: Copy[] = [];
  const boots: string[] = [];
  const share = copies / (STARTS * PARCELS);

  function note(): void {
    const counts = {
      alarms: alarms.length,
      settings: settings.length,
      maintenance: maintenance.length,
      deeds: deeds.length,
    };
    states.push({ readings: readings.length, runs, ...counts });
  }

  function copy(): void {
    const path = join(folder, JOURNAL_FILE);
    taken.push({ file: readFileSync(path), wal: readFileSync(`${path}-wal`), commits: states.length });
  }

  function commit(bench: Bench, boot: string, parcel: number): void {
    const from = parcel * PARCEL_MS;
    const wall = WALL + boots.length * 24 * HOUR + from;
    const batch = CHANNELS.flatMap((name, c) =>
      Array.from({ length: 8 }, (_, i): Reading => {
        const ms = i * 7000 + c;
        const at = { wall: wall + ms, mono: 1000 + from + ms };
        if (below(40) === 0) return { channel: name, at, value: null, quality: "bad", reason: "crc-failed" };
        return { channel: name, at, value: (280 + below(70)) / 16, quality: "good", reason: null };
      }),
    ).sort((a, b) => a.at.mono - b.at.mono);
    const at = batch[0]?.at as Reading["at"];
    const id = `${boot}-${parcel}`;
    const open = runs.find(({ endWall }) => endWall === null);
    readings.push(...batch.map((reading) => ({ boot, reading })));
    switch (below(6)) {
      case 0:
        if (open === undefined) {
          const begun = openRun(id, { number: runs.length + 1, bootId: boot, startWall: at.wall });
          bench.put(batch, { name: "runBegun", params: begun });
          runs = [...runs, begun];
        } else {
          const over = { ...ended(open), endWall: at.wall };
          bench.put(batch, { name: "runEnded", params: over });
          runs = runs.map((run) => (run === open ? over : run));
        }
        break;
      case 1:
        alarms.push(transition(id, { wall: at.wall, mono: at.mono, detail: `Coolant ${parcel}` }));
        bench.put(batch, { name: "alarmTransition", params: alarms.at(-1) as AlarmTransition });
        break;
      case 2:
        settings.push({
          subject: "job-sheet",
          path: "settings",
          old: parcel - 1,
          new: { parcel },
          at,
          by: id,
        });
        bench.put(batch, { name: "settingChanged", params: settings.at(-1) as SettingChange });
        break;
      case 3:
        maintenance.push({ kind: "optics-cleaned", at, note: id });
        bench.put(batch, { name: "maintenance", params: maintenance.at(-1) as Maintenance });
        break;
      case 4:
        deeds.push({
          ...{ who: id, role: null, address: null, what: "fire-watch-look", subject: `parcel:${parcel}` },
          ...{ outcome: "done", detail: { parcel }, at },
        });
        bench.put(batch, { name: "deed", params: deeds.at(-1) as Deed });
        break;
      default:
        bench.put(batch);
    }
    note();
  }

  for (let start = 0; start < STARTS; start++) {
    const boot = `boot-${start}`;
    const at = { wall: WALL + (start + 1) * 24 * HOUR, mono: 1000 };
    const bench = writerBench(sessionStart({ start: `start-${start}`, bootId: boot, at }), () => 0, folder);
    boots.push(boot);
    bench.put([], { name: "channelsDefined", params: CHANNELS.map((name) => channel(name)) });
    note();
    for (let parcel = 0; parcel < PARCELS; parcel++) {
      commit(bench, boot, parcel);
      for (let steps = below(6); steps > 0; steps--) bench.writer.tidy();
      if (below(25) === 0) bench.db.pragma("wal_checkpoint(PASSIVE)");
      if (random() < share) copy();
    }
    copy();
    bench.db.close();
  }
  remove();
  return { readings, alarms, settings, maintenance, deeds, states, copies: taken, boots };
}
