import { createRandom } from "../../station/random.js";
import { channel } from "../unit/journal/samples.js";
import { openPast } from "./past.js";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;

/** Made up and seeded: two channels at 1 s, with what a person looking back would look for. */
export interface Filled {
  readonly from: number;
  readonly to: number;
  /** One second at 34 °C; the rest lies between 17 and 21. */
  readonly spike: { readonly wall: number; readonly value: number };
  /** An hour without any reading. */
  readonly gap: { readonly from: number; readonly to: number };
  /** Ten minutes of bad readings. */
  readonly bad: { readonly from: number; readonly to: number };
  /** `bad` of its readings of the coolant, one after another, are bad. */
  readonly run: { readonly id: string; readonly from: number; readonly to: number; readonly bad: number };
  readonly alarm: { readonly wall: number };
  readonly cleaned: number;
}

const RUN = "6f1f0a7e-52f4-4b0b-9a43-8f6f6f3c0001";

/** Three days of readings that end at `to`, through the journal's own writer, in the folder of a station that has not started. */
export function fillJournal(folder: string, to: number): Filled {
  const from = to - 3 * DAY;
  const filled: Filled = {
    from,
    to,
    spike: { wall: from + 1.4 * DAY, value: 34 },
    gap: { from: from + 2 * DAY, to: from + 2 * DAY + HOUR },
    bad: { from: from + 2.5 * DAY, to: from + 2.5 * DAY + HOUR / 6 },
    run: { id: RUN, from: from + 0.5 * DAY, to: from + 0.5 * DAY + 20 * 60_000, bad: 90 },
    alarm: { wall: from + 1.4 * DAY + 2000 },
    cleaned: from + 0.25 * DAY,
  };
  const past = openPast(folder, from, [
    channel("coolant-in", { resolution: 0.0625 }),
    channel("room-rh", { kind: "room-humidity", unit: "%RH", resolution: 0.1 }),
  ]);
  const random = createRandom(20_260_504);
  for (let wall = from; wall < to; wall += 1000) {
    if (wall >= filled.gap.from && wall < filled.gap.to) continue;
    const day = ((wall - from) / DAY) * 2 * Math.PI;
    const noise = random() - 0.5;
    const coolant = wall === filled.spike.wall ? filled.spike.value : 19 + 1.5 * Math.sin(day) + noise;
    const inRun = (wall - filled.run.from) / 1000;
    const lost =
      (wall >= filled.bad.from && wall < filled.bad.to) || (inRun >= 600 && inRun < 600 + filled.run.bad);
    past.read("coolant-in", wall, lost ? null : Math.round(coolant * 16) / 16);
    past.read("room-rh", wall, Math.round(10 * (48 + 6 * Math.cos(day) + noise)) / 10);
  }
  past.opticsCleaned(filled.cleaned);
  past.run(RUN, filled.run.from, filled.run.to);
  past.alarm("past", filled.alarm.wall, 60_000, { detail: "Coolant 34.0 °C, setpoint 22 °C" });
  past.close();
  return filled;
}
