import type { GradeBody, PropertyId } from "../../../station/model/grade.js";

interface About {
  /** Id of the entry, made where it was entered: the station keeps an id once. */
  readonly entry: string;
  /** Code of the specimen; of a photo it may be the id of a lot. */
  readonly subject: string;
  /** When it was entered, by this device's clock. */
  readonly enteredWall: number;
  readonly by: string | null;
}
export interface EnteredGrade extends About {
  readonly kind: "grade";
  readonly property: PropertyId;
  readonly body: GradeBody;
}
export interface EnteredPhoto extends About {
  readonly kind: "photo";
  readonly note: string;
  /** Of the picture, which lies beside it. */
  readonly bytes: number;
}
export type Entered = EnteredGrade | EnteredPhoto;

/** Grades and photos each go in their own order: a grade does not wait for a picture. */
export type Lane = Entered["kind"];

interface Queued {
  /** Counts up from 1 on this device, in the order in which things were entered. */
  readonly place: number;
  /** Why the station will not take it; null while it waits. */
  readonly refused: string | null;
}
export type WaitingGrade = EnteredGrade & Queued;
export type WaitingPhoto = EnteredPhoto & Queued;
export type Waiting = WaitingGrade | WaitingPhoto;

/** What people call the subject: a specimen by its code. */
export function subjectWord({ subject }: Entered): string {
  return /^[A-Z0-9]{5}$/.test(subject) ? subject : "A lot";
}

/** A request of the station's own size limit holds some 180 grades. */
const MOST_AT_ONCE: Readonly<Record<Lane, number>> = { grade: 50, photo: 1 };

export function mostAtOnce(lane: Lane): number {
  return MOST_AT_ONCE[lane];
}

/** What is sent next: the oldest of the lane that was not refused, and what follows it. */
export function nextParcel(items: readonly Waiting[], lane: Lane, most: number): readonly Waiting[] {
  return items
    .filter(({ kind, refused }) => kind === lane && refused === null)
    .sort((a, b) => a.place - b.place)
    .slice(0, most);
}

export interface Tally {
  /** How many wait, without those that were refused. */
  readonly count: number;
  /** When the oldest of them was entered; null where none waits. */
  readonly since: number | null;
  readonly refused: number;
  readonly photos: number;
}

export function tallyOf(items: readonly Waiting[]): Tally {
  const waiting = items.filter(({ refused }) => refused === null);
  const since = waiting.reduce<number | null>(
    (oldest, { enteredWall }) => (oldest === null ? enteredWall : Math.min(oldest, enteredWall)),
    null,
  );
  return {
    count: waiting.length,
    since,
    refused: items.length - waiting.length,
    photos: waiting.filter(({ kind }) => kind === "photo").length,
  };
}
