import type { AlarmKind } from "../../station/model/alarm.js";
import type { Raised, ShopResult } from "./shop.js";
import type { ShopFault } from "./shop-plan.js";

interface Expected {
  readonly alarm: string;
  /** Seconds within which it must be out: from the fault, or from when the bench was truly beyond its limit. */
  readonly withinS: number;
  readonly from: "fault" | keyof ShopResult["truth"];
  /** What else the same fault rightly raises. */
  readonly also: readonly AlarmKind[];
  /** Its effects may be there for so long after it, s. */
  readonly tailS: number;
}

/**
 * The times are those that a person at the machine has (common practice, no source): the fan runs down within seconds, and a probe is
 * given as long as it may be late. Of the water and the margin it is the on-delay and a reading more.
 */
const EXPECTED: Readonly<Record<ShopFault["fault"], Expected>> = {
  "fan-stops": { alarm: "extraction-stopped", withinS: 15, from: "fault", also: [], tailS: 60 },
  "fan-slips": {
    alarm: "extraction-no-air",
    withinS: 15,
    from: "fault",
    also: ["extraction-stopped"],
    tailS: 60,
  },
  "pump-stops": {
    ...{ alarm: "coolant-flow-lost", withinS: 10, from: "fault" },
    ...{ also: ["coolant-heat-no-flow", "coolant-rising", "coolant-high"], tailS: 1200 },
  },
  "coolant-runs-away": {
    ...{ alarm: "coolant-high", withinS: 15, from: "tooWarm" },
    ...{ also: ["coolant-rising"], tailS: 1800 },
  },
  "probe-off": { alarm: "sensor-dead:coolant-in", withinS: 10, from: "fault", also: [], tailS: 60 },
  "sensor-silent": { alarm: "sensor-dead:room-rh", withinS: 30, from: "fault", also: [], tailS: 60 },
  humid: {
    ...{ alarm: "condensation-risk", withinS: 30, from: "tooDamp" },
    ...{ also: ["condensation-coming"], tailS: 3 * 3600 },
  },
  "contact-chatters": { alarm: "coolant-flow-lost", withinS: 15, from: "fault", also: [], tailS: 900 },
};

export interface Judgement {
  /** Faults whose alarm did not come, or came too late. */
  readonly missed: readonly string[];
  /** Faults whose alarm came more than once. */
  readonly repeated: readonly string[];
  /** Alarms of nothing. */
  readonly falsely: readonly string[];
  /** How long each took, s, in the order of the faults. */
  readonly took: readonly { readonly fault: ShopFault["fault"]; readonly s: number }[];
}

/** Holds the alarms that were raised against what was true. */
export function judgeShop({ raised, truth }: ShopResult, faults: readonly ShopFault[]): Judgement {
  const missed: string[] = [];
  const repeated: string[] = [];
  const took: Judgement["took"][number][] = [];
  const explained = new Set<Raised>();
  for (const { fault, fromS, toS } of faults) {
    const { alarm, withinS, from, also, tailS } = EXPECTED[fault];
    const within = raised.filter(({ atS }) => atS >= fromS && atS < toS + tailS);
    for (const one of within) if (one.alarm === alarm || also.includes(one.kind)) explained.add(one);
    const its = within.filter((one) => one.alarm === alarm);
    const name = `${fault} at ${timeText(fromS)}`;
    const starts =
      from === "fault" ? [fromS] : truth[from].filter((atS) => atS >= fromS && atS < toS + tailS);
    const first = starts[0];
    const answer = its[0];
    if (first === undefined || answer === undefined)
      missed.push(`${name}: ${first === undefined ? "nothing came of it" : "no alarm"}`);
    else {
      // An alarm may go by the reading that was a little beyond, before the water itself was.
      const s = Math.max(0, answer.atS - first);
      took.push({ fault, s });
      if (s > withinS) missed.push(`${name}: after ${s} s, within ${withinS} s was wanted`);
    }
    if (its.length > Math.max(1, starts.length)) repeated.push(`${name}: ${its.length} times`);
  }
  const falsely = raised
    .filter((one) => !explained.has(one))
    .map(({ alarm, atS, detail }) => `${alarm} at ${timeText(atS)}: ${detail}`);
  return { missed, repeated, falsely, took };
}

function timeText(atS: number): string {
  return `day ${Math.floor(atS / 86_400)} ${new Date(atS * 1000).toISOString().slice(11, 19)}`;
}
