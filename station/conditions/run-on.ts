import type { RunOnView } from "../model/after-cut.js";
import type { ExtractionView } from "../model/now.js";

/**
 * For how long the extraction should run on after a cut, seconds, where the owner sets nothing: two minutes is common practice in
 * workshops, without a source. How long a machine takes to clear depends on its air changes, which nobody measures here.
 */
export const RUN_ON_S = 120;

export interface RunOnFacts {
  /** Milliseconds, monotonic. */
  readonly nowMono: number;
  readonly cutting: boolean;
  readonly extraction: ExtractionView["state"];
  /** Null where no sensor tells. */
  readonly lidOpen: boolean | null;
}

export interface RunOnMemory {
  readonly nowMono: number;
  readonly cutting: boolean;
  /** When the last cut ended, `mono`; null where nothing was cut since the start. */
  readonly endedMono: number | null;
  /** For how long the extraction has run since, ms; time in which nobody knows counts too. */
  readonly ranMs: number;
  /** It was not known for some of that time. */
  readonly unseen: boolean;
  readonly extraction: ExtractionView["state"];
  /** `mono` of the moment at which it was seen to have stopped too early, or the lid to be open; null for never. */
  readonly stoppedMono: number | null;
  readonly lidMono: number | null;
}

export const BEFORE_ANY_CUT: RunOnMemory = {
  nowMono: 0,
  cutting: false,
  endedMono: null,
  ranMs: 0,
  unseen: false,
  extraction: "unknown",
  stoppedMono: null,
  lidMono: null,
};

/** Carries the run-on forward to a moment. Call it at least once a second. */
export function stepRunOn(before: RunOnMemory, facts: RunOnFacts, runOnS: number): RunOnMemory {
  const { nowMono, cutting, extraction, lidOpen } = facts;
  if (cutting) return { ...BEFORE_ANY_CUT, nowMono, cutting, extraction };
  if (before.cutting) return { ...BEFORE_ANY_CUT, nowMono, endedMono: nowMono, extraction };
  if (before.endedMono === null) return { ...before, nowMono, extraction };
  const moved = Math.max(0, nowMono - before.nowMono);
  const ranMs = before.ranMs + (before.extraction === "stopped" ? 0 : moved);
  const clearing = ranMs < runOnS * 1000;
  return {
    ...before,
    ...{ nowMono, ranMs, extraction },
    unseen: before.unseen || (clearing && extraction === "unknown"),
    stoppedMono: before.stoppedMono ?? (clearing && extraction === "stopped" ? nowMono : null),
    lidMono: before.lidMono ?? (clearing && lidOpen === true ? nowMono : null),
  };
}

/**
 * In an adviser's words: that a lid may be opened is never promised. It goes by how long the extraction has run, which says nothing of
 * what is left of the fume.
 */
export function viewRunOn(memory: RunOnMemory, runOnS: number): RunOnView {
  const { cutting, endedMono, ranMs, unseen, extraction } = memory;
  if (cutting) {
    return { state: "cutting", leftS: runOnS, text: "Cutting: keep the lid closed.", early: null };
  }
  if (endedMono === null || runOnS === 0) {
    return { state: "idle", leftS: 0, text: "Nothing was cut since the station started.", early: null };
  }
  const leftS = Math.max(0, Math.ceil(runOnS - ranMs / 1000));
  const early = earlyWords(memory, endedMono);
  if (leftS > 0) {
    return extraction === "stopped"
      ? {
          ...{ state: "cut-short", leftS, early },
          text: `Fume may still be in the machine: run the extraction for ${timeText(leftS)} more before you open the lid.`,
        }
      : {
          ...{ state: "clearing", leftS, early },
          text: `Let the extraction run for ${timeText(leftS)} more, and leave the lid closed.`,
        };
  }
  const ran = timeText(runOnS);
  return {
    ...{ state: "clear", leftS: 0, early },
    text: unseen
      ? `${ran} have passed since the cut. No sensor saw the air move all the time, so look and smell before you open the lid.`
      : `The extraction ran for ${ran} after the cut, as far as its sensors tell. Look and smell before you open the lid; close it again if there is fume.`,
  };
}

function earlyWords({ stoppedMono, lidMono }: RunOnMemory, endedMono: number): string | null {
  const after = (mono: number) =>
    `${timeText(Math.max(0, Math.floor((mono - endedMono) / 1000)))} after the cut`;
  const said = [
    ...(lidMono === null ? [] : [`the lid was opened ${after(lidMono)}`]),
    ...(stoppedMono === null ? [] : [`the extraction stopped ${after(stoppedMono)}`]),
  ];
  if (said.length === 0) return null;
  const text = said.join(", and ");
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function timeText(seconds: number): string {
  if (seconds < 120) return `${seconds} s`;
  const [minutes, rest] = [Math.floor(seconds / 60), seconds % 60];
  return rest === 0 ? `${minutes} min` : `${minutes} min ${rest} s`;
}
