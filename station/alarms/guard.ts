import type { AlarmDefinition } from "../model/alarm.js";

/** What holds for the setting of an alarm, wherever it comes from. */

export interface Contradiction {
  /** `<kind>.<field>` */
  readonly path: string;
  readonly expected: string;
}

/** Where alarms contradict each other; empty where they do not. */
export function contradictions(defined: readonly AlarmDefinition[]): readonly Contradiction[] {
  return [...ofCoolant(defined), ...ofDisk(defined)];
}

/** A high alarm that can only return once the low one has risen would never be quiet. */
function ofCoolant(defined: readonly AlarmDefinition[]): Contradiction[] {
  const high = defined.find((definition) => definition.kind === "coolant-high");
  const low = defined.find((definition) => definition.kind === "coolant-low");
  if (high?.setpoint == null || low?.setpoint == null) return [];
  const between = high.setpoint - low.setpoint;
  if (between <= 0) {
    return [
      { path: "coolant-high.setpoint", expected: `above the setpoint of coolant-low, ${low.setpoint} °C` },
    ];
  }
  return [high, low]
    .filter(({ deadband }) => (deadband ?? 0) >= between)
    .map(({ kind }) => ({
      path: `${kind}.deadband`,
      expected: `less than the ${between} °C between the two coolant setpoints`,
    }));
}

/** What is to be said first must not be said after. */
function ofDisk(defined: readonly AlarmDefinition[]): Contradiction[] {
  const filling = defined.find((definition) => definition.kind === "disk-filling");
  const nearlyFull = defined.find((definition) => definition.kind === "disk-nearly-full");
  if (filling?.setpoint == null || nearlyFull?.setpoint == null) return [];
  if (filling.setpoint > nearlyFull.setpoint) return [];
  return [
    {
      path: "disk-filling.setpoint",
      expected: `above the setpoint of disk-nearly-full, ${nearlyFull.setpoint} MB`,
    },
  ];
}
