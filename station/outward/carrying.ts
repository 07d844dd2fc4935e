import type { OutwardEntry } from "./entry.js";
import type { AlarmStanding, Outgoing } from "./outgoing.js";

/** What the thread that sends is asked. None waits for a server: how it went is told when it is known. */
export interface CarrierCalls {
  open: { params: OutwardEntry; result: null };
  send: {
    params: { readonly number: number; readonly message: Outgoing; readonly withinMs: number | null };
    result: null;
  };
  states: { params: readonly AlarmStanding[]; result: null };
  /** The main thread is alive, and whether the station is well. */
  beat: { params: boolean; result: null };
  /** Ends what is open, in order, within some seconds. */
  close: { params: null; result: null };
}

/** What became of a message: `error` null where it was taken, with what was not right all the same. */
export interface CarriedNotice {
  readonly number: number;
  readonly error: string | null;
  readonly note: string | null;
}
