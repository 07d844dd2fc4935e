import type { NowSnapshot } from "./model/now.js";

export type OccupationPart = Pick<NowSnapshot, "simulated" | "run" | "afterCut" | "channels">;

/** Whether a restart of the station would leave somebody without it who needs it now. */
export interface Occupation {
  /** `unknown`: nothing is known to go on, but nothing tells either that the machine is off. */
  readonly state: "idle" | "busy" | "unknown";
  /** One plain sentence. */
  readonly text: string;
}

const busy = (text: string): Occupation => ({ state: "busy", text });

/** A run, a machine that is on, and what is watched after a cut are no time for a restart; on the simulated bench any time is. */
export function occupationOf({ simulated, run, afterCut, channels }: OccupationPart): Occupation {
  if (simulated) return { state: "idle", text: "This is the simulated bench: nothing is cut." };
  if (run !== null) return busy(`Run ${run.number} is open.`);
  if (afterCut.fireWatch.state !== "none") return busy(afterCut.fireWatch.text);
  if (afterCut.runOn.state === "cutting" || afterCut.runOn.state === "clearing") {
    return busy(afterCut.runOn.text);
  }
  const telling = channels.filter(({ kind }) => kind === "machine-on" || kind === "laser-on");
  const on = telling.find(({ value }) => value === 1);
  if (on !== undefined) return busy(`${on.name}: on.`);
  // That the beam is off says nothing of a machine that stands there with its lid open and a hand in it.
  const machine = telling.filter(({ kind }) => kind === "machine-on");
  if (machine.length === 0) return { state: "unknown", text: "No channel tells whether the machine is off." };
  const doubtful = telling.find(({ value, quality }) => value !== 0 || quality !== "good");
  if (doubtful !== undefined) {
    return { state: "unknown", text: `${doubtful.name}: not known whether it is off.` };
  }
  return { state: "idle", text: "No run is open, and the machine is off." };
}
