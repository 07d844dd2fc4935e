import type { OutwardEntry } from "./entry.js";
import type { AlarmStanding, Outgoing, Taken } from "./outgoing.js";

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

/** What became of a message: how it was taken, or why it was not, in words for people. */
export type CarriedNotice =
  | { readonly number: number; readonly error: null; readonly taken: Taken }
  | { readonly number: number; readonly error: string };
