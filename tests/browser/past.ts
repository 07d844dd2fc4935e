import { join } from "node:path";
import { gatherColumns } from "../../station/journal/columns.js";
import { openForWriting } from "../../station/journal/database.js";
import type { Action } from "../../station/journal/protocol.js";
import { createWriter } from "../../station/journal/writer.js";
import type { AlarmTransition } from "../../station/model/alarm.js";
import type { ChannelDefinition } from "../../station/model/channel.js";
import { ended, openRun, sessionStart, stamp, transition } from "../unit/journal/samples.js";

const PARCEL = 20_000;
const BOOT = "boot-of-the-past";
const BAD = 2;

/** Fills a journal with what an earlier start of a station would have left there. Wall milliseconds throughout. */
export interface Past {
  /** One reading; bad where it has no value. */
  read(channel: string, wall: number, value: number | null): void;
  run(id: string, from: number, to: number): void;
  /** An alarm that came, and went `afterMs` later; changes are those of its coming. */
  alarm(id: string, wall: number, afterMs: number, changes?: Partial<AlarmTransition>): void;
  opticsCleaned(wall: number): void;
  /** Somebody looked for fire: half an hour after a cut it is the last look of the watch. */
  lookedForFire(wall: number): void;
  /** Does many things in one transaction, which the disk is waited for but once. */
  atOnce(deeds: () => void): void;
  close(): void;
}

/** @param folder of a station that has not started; its monotonic clock began shortly before `from` */
export function openPast(folder: string, from: number, channels: readonly ChannelDefinition[]): Past {
  const db = openForWriting(join(folder, "journal"), { busyTimeoutMs: 1000 });
  const at = (wall: number) => ({ wall, mono: wall - from + 1000 });
  const writer = createWriter(db, sessionStart({ at: at(from), simulated: true, bootId: BOOT }), () => 0);
  const gatherer = gatherColumns(PARCEL);
  let number = 0;
  const put = (action: Action | null) => {
    number += 1;
    const readings = gatherer.count > 0 ? gatherer.take() : null;
    const { refused } = writer.commit({ number, readings, action });
    if (refused !== null) throw new Error(refused.detail);
  };
  put({ name: "channelsDefined", params: channels });
  // In one transaction, because each rewrites the same pages of rollups.
  const commitAndSeal = db.transaction(() => {
    put(null);
    while (writer.tidy());
  });

  return {
    read(channel, wall, value) {
      const { mono } = at(wall);
      if (value === null) gatherer.add(channel, wall, mono, null, BAD, "crc-failed");
      else gatherer.add(channel, wall, mono, value, 0, null);
      if (gatherer.count === PARCEL) commitAndSeal.immediate();
    },
    run(id, begin, end) {
      const run = openRun(id, {
        startWall: begin,
        startMono: at(begin).mono,
        bootId: BOOT,
        simulated: true,
      });
      put({ name: "runBegun", params: run });
      const { coolant } = stamp().channels;
      const done = ended(run, {
        startWall: begin,
        endWall: end,
        simulated: true,
        channels: coolant === undefined ? {} : { "coolant-in": coolant },
      });
      put({ name: "runEnded", params: { ...done, endWall: end, endMono: at(end).mono } });
    },
    alarm(id, wall, afterMs, changes = {}) {
      const came = transition(`${id}-came`, { ...at(wall), ...changes });
      put({ name: "alarmTransition", params: came });
      put({
        name: "alarmTransition",
        params: {
          ...came,
          id: `${id}-went`,
          transition: "returned-to-normal",
          from: "unacknowledged",
          to: "normal",
          ...at(wall + afterMs),
          detail: "",
        },
      });
    },
    opticsCleaned(wall) {
      put({ name: "maintenance", params: { kind: "optics-cleaned", at: at(wall), note: "" } });
    },
    lookedForFire(wall) {
      const by = { who: "Owner", role: null, address: null };
      const what = { what: "fire-watch-look", subject: "", outcome: "done" as const, detail: null };
      put({ name: "deed", params: { ...by, ...what, at: at(wall) } });
    },
    atOnce: (deeds) => db.transaction(deeds).immediate(),
    close() {
      commitAndSeal.immediate();
      writer.close();
    },
  };
}
