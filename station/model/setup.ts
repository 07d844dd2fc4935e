import type { ChannelKind, Unit } from "./quantity.js";

/** What the page Set up is told of all that is connected, and of the file that it writes. */

/** One thing that can be measured with what is connected. */
export interface FoundPoint {
  readonly point: string;
  readonly unit: Unit;
}

/** A channel of station.yaml that is read from it. */
export interface GivenRole {
  readonly channel: string;
  readonly name: string;
  readonly kind: ChannelKind;
  /** Null: whatever the source reports. */
  readonly point: string | null;
  /** False: it counts from the next start of the station. */
  readonly counts: boolean;
}

export type ThingSort = "probe" | "sensor" | "board" | "line";

export interface FoundThing {
  /** Its name in every question about it; the same for as long as it is connected. */
  readonly key: string;
  readonly sort: ThingSort;
  readonly title: string;
  /** Where it is, or what it is like, in words; may be empty. */
  readonly place: string;
  /** Empty for a board that nobody has listened to. */
  readonly points: readonly FoundPoint[];
  readonly roles: readonly GivenRole[];
  /** The running station reads it, so that nobody else may open it. */
  readonly held: boolean;
  /** Of a line that the running station reads: a low level is told as on. False of everything else. */
  readonly activeLow: boolean;
}

export interface FoundLine {
  readonly line: number;
  /** As gpioinfo shows it. */
  readonly name: string | null;
  /** Who holds it; null where it is free, as far as can be told. */
  readonly usedBy: string | null;
  /** What else the pin may be for; null for one that is only for this. */
  readonly caution: string | null;
}

export interface FoundChip {
  readonly label: string;
  readonly lines: readonly FoundLine[];
}

/** What stands in for a bus or a kind of thing of which nothing was found, and what to do about it. */
export interface NothingFound {
  readonly what: string;
  readonly mend: string;
}

/** How station.yaml stands against what the station runs with. */
export interface SetupFile {
  /** Its whole path. */
  readonly path: string;
  /** False: the page begins it. */
  readonly there: boolean;
  /** Stands for its text, or for there being none; sent along with every change. */
  readonly hash: string;
  /** What the station runs with is another text: the file counts from the next start. */
  readonly pending: boolean;
  /** Why it cannot be changed here; null while it can. */
  readonly trouble: string | null;
  /** The file as it was before the last change is still there. */
  readonly back: boolean;
}

/** Whether the station comes back by itself when it ends, and what to type where not. */
export interface SetupRestart {
  readonly byItself: boolean;
  readonly command: string;
}

export interface SetupView {
  readonly things: readonly FoundThing[];
  readonly chips: readonly FoundChip[];
  readonly nothing: readonly NothingFound[];
  /** Things that the kernel shows and that are not offered, in words. */
  readonly leftOut: readonly string[];
  readonly file: SetupFile;
  readonly restart: SetupRestart;
  readonly simulated: boolean;
}

/** The last value of a point, or why there is none. */
export interface SeenValue {
  readonly key: string;
  readonly point: string;
  readonly unit: Unit | null;
  readonly value: number | null;
  /** Why there is none, for people; null beside a value. */
  readonly trouble: string | null;
  readonly ageMs: number;
}

/** `several` and `none` are final too: whoever looks begins anew. */
export type TouchState = "waiting" | "one" | "several" | "none";

export interface TouchMove {
  readonly key: string;
  readonly point: string;
  readonly unit: Unit;
  /** By how much it rose, in its unit; of a state 1 or −1, the way it went. */
  readonly by: number;
}

export interface TouchVerdict {
  readonly state: TouchState;
  /** The strongest first. */
  readonly moved: readonly TouchMove[];
  /** Until it is given up; 0 once it is decided. */
  readonly leftMs: number;
}

export interface SetupValues {
  readonly values: readonly SeenValue[];
  /** Null while nobody asked which one it is. */
  readonly touch: TouchVerdict | null;
}

/** What came of listening to a board. */
export interface HeardBoard {
  readonly points: readonly { readonly point: string; readonly unit: Unit; readonly value: number }[];
  /** In words: what was heard, or why nothing was. */
  readonly text: string;
}

export interface DiffLines {
  readonly what: "same" | "removed" | "added";
  readonly lines: readonly string[];
}

/** What the first station.yaml begins with. */
export interface FirstFacts {
  readonly name: string;
  /** The range the coolant should keep, from the tube maker's manual, °C. */
  readonly low: number;
  readonly high: number;
}

/** One thing is given a role, or loses it. */
export type RoleChange =
  | {
      readonly act: "give";
      readonly key: string;
      readonly point: string;
      readonly kind: ChannelKind;
      readonly name: string;
      /** Of a line: the level at which the thing is on is the low one. */
      readonly activeLow: boolean;
      /** Where there is no station.yaml yet. */
      readonly first: FirstFacts | null;
    }
  | { readonly act: "take"; readonly channel: string }
  /** A thermometer gets the calibration that was just taken in two baths. */
  | { readonly act: "calibrate"; readonly channel: string };

/** What would be written. */
export interface SetupPreview {
  readonly path: string;
  readonly diff: readonly DiffLines[];
  /** What whoever writes it should know before. */
  readonly notes: readonly string[];
}
