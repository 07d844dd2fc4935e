import type { AlarmState } from "../../../station/model/alarm.js";

/** °C, of a high alarm. */
export const SETPOINT = 22;
export const DEADBAND = 0.5;

/**
 * The alarm told again from its whole history, without delays that are counted: looking back from a sight that asks for a
 * change, how long was it so? An unknown shorter than the hold is looked past: it counts towards a raise and not towards a
 * return. A longer one, or a sight of the opposite, ends the looking back.
 */
export class History {
  state: AlarmState = "normal";
  mono = 0;
  private sights: { mono: number; word: string }[] = [];
  /** When it was raised, and when it came back past the deadband while it stood. */
  private comings: number[] = [];
  private lastWord = "";

  see(value: number | null, onMs: number, offMs: number, holdMs: number): void {
    const active = this.state === "unacknowledged" || this.state === "acknowledged";
    const threshold = active ? SETPOINT - DEADBAND : SETPOINT;
    const word = value === null ? "unknown" : value > threshold ? "present" : "absent";
    this.sights.push({ mono: this.mono, word });
    if (active && word === "present" && this.lastWord === "absent") this.comings.push(this.mono);
    if (word !== "unknown") this.lastWord = word;
    const wanted = active ? "absent" : "present";
    if (word !== wanted || this.soFor(wanted, holdMs, !active) < (active ? offMs : onMs)) return;
    if (active && this.cameTwice()) return;
    if (!active) {
      this.state = "unacknowledged";
      this.comings.push(this.mono);
    } else this.state = this.state === "acknowledged" ? "normal" : "returned-unacknowledged";
    this.sights = [];
  }

  /** Twice within a minute, and again less than a minute ago. */
  private cameTwice(): boolean {
    const [before, last] = this.comings.slice(-2);
    return before !== undefined && last !== undefined && last - before <= 60_000 && this.mono - last < 60_000;
  }

  private soFor(wanted: string, holdMs: number, unknownCounts: boolean): number {
    let soMs = 0;
    let until = this.mono;
    let end = this.mono;
    for (const { mono, word } of this.sights.toReversed()) {
      if (word === "unknown") {
        // `end` is the sight that ended this unknown: it lasted from its first sight until then.
        if (end - mono >= holdMs) break;
        until = mono;
        continue;
      }
      if (word !== wanted) break;
      soMs += until - mono + (unknownCounts ? end - until : 0);
      until = mono;
      end = mono;
    }
    return soMs;
  }

  acknowledge(): void {
    if (this.state === "unacknowledged") this.state = "acknowledged";
    else if (this.state === "returned-unacknowledged") this.state = "normal";
  }
}
