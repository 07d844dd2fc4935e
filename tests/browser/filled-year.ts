import { createRandom } from "../../station/random.js";
import { channel } from "../unit/journal/samples.js";
import { openPast, type Past } from "./past.js";

const SECOND = 1000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;

interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** A made-up and seeded year of a workshop, three channels; wall milliseconds. */
export interface FilledYear extends Stretch {
  /** One second of the coolant at 31 °C; the rest lies between 14 and 25. */
  readonly spike: { readonly wall: number; readonly value: number };
  /** The station was off: over the summer holidays, and once for a night. */
  readonly holidays: Stretch;
  readonly night: Stretch;
  /** The coolant's probe had come off: all its readings are bad. */
  readonly unplugged: Stretch;
  readonly runs: number;
  readonly alarms: number;
  readonly cleanings: number;
  /** How many readings there are in all. */
  readonly readings: number;
}

/** Neither the spike nor anything else lies at a round place. */
const SPIKE_AT = 261 * DAY + 10 * HOUR + 17 * MINUTE + 43 * SECOND;
const RUN_STARTS_H = [8.5, 9.2, 10.1, 11, 13.3, 14.2, 15.5, 16.4];

/**
 * A year that ends at `to`, in the folder of a station that has not started. Readings are two minutes apart, but a second in
 * the hour of the spike: 0.8 million of them. With `everyMs` of 1000 it is the full year of a station, 90 million.
 */
export function fillYear(folder: string, to: number, everyMs = 2 * MINUTE): FilledYear {
  const from = to - 365 * DAY;
  const days = (begin: number, length: number) => ({
    from: from + begin * DAY,
    to: from + (begin + length) * DAY,
  });
  const spike = { wall: from + SPIKE_AT, value: 31 };
  const holidays = days(140.2, 17.5);
  const night = days(58.75, 0.6);
  const unplugged = days(312.4, 4.1);
  const past = openPast(folder, from, [
    channel("coolant-in", { resolution: 1 / 16 }),
    channel("room-t", { kind: "room-temperature", resolution: 0.1 }),
    channel("room-rh", { kind: "room-humidity", unit: "%RH", resolution: 0.1 }),
  ]);
  const off = [holidays, night];
  const near = { from: spike.wall - HOUR / 2, to: spike.wall + HOUR / 2 };
  const readings = readYear(past, { from, to }, (wall) => !off.some((each) => within(wall, each)), {
    stepAt: (wall) => (within(wall, near) ? SECOND : everyMs),
    lostAt: (wall) => within(wall, unplugged),
    spike,
  });
  let runs = 0;
  let alarms = 0;
  let cleanings = 0;
  past.atOnce(() => {
    for (let day = 0; day < 365; day += 1) {
      const midnight = from + day * DAY;
      if (day % 7 > 4 || within(midnight + DAY / 2, holidays)) continue;
      for (const [i, start] of RUN_STARTS_H.entries()) {
        runs += 1;
        const begin = midnight + start * HOUR + ((day * 7 + i * 13) % 17) * MINUTE;
        past.run(idOf(runs), begin, begin + (4 + ((day + i * 5) % 23)) * MINUTE);
      }
      if (day % 3 === 0) {
        alarms += 1;
        past.alarm(`warm-${day}`, midnight + 14.4 * HOUR, 25 * MINUTE, {
          detail: "Coolant 22.3 °C, setpoint 22 °C",
        });
      }
      if (day % 10 === 0) {
        alarms += 1;
        // While the other stands.
        past.alarm(`lost-${day}`, midnight + 14.5 * HOUR, 5 * MINUTE, {
          alarm: "sensor-dead coolant-in",
          kind: "sensor-dead",
          title: "Coolant into the tube: no reading",
          priority: "medium",
          detail: "no reading for 10 s",
        });
      }
      if (day % 14 === 4) {
        cleanings += 1;
        past.opticsCleaned(midnight + 17.5 * HOUR);
      }
    }
    alarms += 1;
    past.alarm("spike", spike.wall + 2 * SECOND, MINUTE, { detail: "Coolant 31.0 °C, setpoint 22 °C" });
  });
  past.close();
  return { from, to, spike, holidays, night, unplugged, runs, alarms, cleanings, readings };
}

/** A UUID. */
function idOf(run: number): string {
  return `6f1f0a7e-52f4-4b0b-9a43-${String(run).padStart(12, "0")}`;
}

function within(wall: number, { from, to }: Stretch): boolean {
  return wall >= from && wall < to;
}

interface Script {
  stepAt(wall: number): number;
  lostAt(wall: number): boolean;
  readonly spike: FilledYear["spike"];
}

/** Cold in the winter, warm in the afternoon, and the chiller's cycle on top; rounded as the sensors do. */
function readYear(
  past: Past,
  { from, to }: Stretch,
  isOn: (wall: number) => boolean,
  script: Script,
): number {
  const random = createRandom(20_261_126);
  let readings = 0;
  for (let wall = from; wall < to; wall += script.stepAt(wall)) {
    if (!isOn(wall)) continue;
    const year = ((wall - from) / (365 * DAY)) * 2 * Math.PI;
    const day = ((wall - from) / DAY) * 2 * Math.PI;
    const noise = random() - 0.5;
    const room = 19 - 5 * Math.cos(year) - 2 * Math.cos(day - 0.8) + noise;
    const usual = 18 - 1.5 * Math.cos(year) - 0.8 * Math.cos(day - 0.8) + 0.4 * Math.sin(day * 48) + noise;
    const coolant = wall === script.spike.wall ? script.spike.value : usual;
    past.read("coolant-in", wall, script.lostAt(wall) ? null : Math.round(coolant * 16) / 16);
    past.read("room-t", wall, Math.round(room * 10) / 10);
    past.read("room-rh", wall, Math.round(10 * (52 + 9 * Math.cos(year) - 2 * room + 35 + noise)) / 10);
    readings += 3;
  }
  return readings;
}
