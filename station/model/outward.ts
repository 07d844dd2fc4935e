import type { Priority } from "./alarm.js";
import type { Way } from "./notice.js";

/** How it stands with one way of telling somebody who is not in the shop. Never with anything secret. */
export interface WayView {
  readonly way: Way;
  /** False: station.yaml does not set it up, and the rest says nothing. */
  readonly setUp: boolean;
  /** Whom or what it reaches, in words: "o…@example.org through mail.example.org". */
  readonly to: string;
  readonly priorities: readonly Priority[];
  /** Wall milliseconds; null where nothing has been sent that the journal still knows of. */
  readonly lastSentWall: number | null;
  readonly waiting: number;
  /** When the oldest that waits came to be, wall milliseconds. */
  readonly oldestWall: number | null;
  /** Milliseconds until the next try; null where nothing waits to be tried again. */
  readonly nextTryMs: number | null;
  /** Messages wait for the end of the quiet hours. */
  readonly quiet: boolean;
  /** What went wrong at the last try; null where it went well. */
  readonly error: string | null;
  /** Messages that were given up, of the last days. */
  readonly givenUp: number;
  readonly lastGivenUpWall: number | null;
}

export interface OutwardView {
  readonly simulated: boolean;
  readonly quietHours: { readonly from: string; readonly to: string } | null;
  readonly ways: readonly WayView[];
}

/** What came of a test that somebody asked for. */
export interface WayTest {
  readonly sent: boolean;
  /** For people. */
  readonly text: string;
}
