import { z } from "zod";
import { textSchema } from "./channel.js";
import { PROPERTY_IDS, unfitValue } from "./grade.js";
import { gradeBodySchema } from "./grade-schema.js";
import { pastRunSchema } from "./past-run-schema.js";
import { CHECK_IDS } from "./plan.js";

/** A code as it is kept; what somebody typed is read by the station first. */
export const codeSchema = z
  .string()
  .regex(/^[A-Z0-9]{5}$/, "the code of a specimen, five letters and digits");

/** What becomes of a specimen at the machine. That it was cut is told by its run and by nothing else. */
const stepSchema = z.strictObject({
  /**
   * `chosen`: it is cut next, out of its turn. `done`: no more of it comes, where the beam's line began the run and may begin
   * another of the same piece. `waiting` takes a skip or a spoiling back.
   */
  step: z.enum(["skipped", "spoilt", "chosen", "done", "waiting"]),
  why: textSchema(200),
});
const checksSchema = z.strictObject({ block: z.int().min(1), done: z.array(z.enum(CHECK_IDS)) });
const phaseSchema = z.strictObject({ phase: z.enum(["running", "paused", "closed"]) });
/** What the owner decided, in their own words. */
export const decisionSchema = z.strictObject({
  /** The lot that was chosen; null for none of them. */
  lot: z.uuid().nullable(),
  reason: textSchema(1000).min(1),
});
/** A line of a lot's settings sheet. */
export const sheetLineSchema = z.strictObject({
  what: textSchema(40).min(1),
  speed_mm_s: z.number().gt(0).max(2000),
  power_pct: z.number().gt(0).max(100),
  passes: z.int().min(1).max(50),
  focus_spacer_mm: z.number().min(0).max(200).nullable(),
  /** By how much slower it is than the fastest speed that was found. */
  margin_pct: z.number().min(0).max(90),
  conditions: textSchema(300),
  plan: z.uuid().nullable(),
});
const photoBodySchema = z.strictObject({
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  width: z.int().min(1),
  height: z.int().min(1),
  bytes: z.int().min(1),
  /** As the camera wrote it, ISO 8601; local time where it told no zone. */
  takenAt: textSchema(40).nullable(),
  note: textSchema(200),
});

const BODIES = {
  grade: gradeBodySchema,
  step: stepSchema,
  checks: checksSchema,
  phase: phaseSchema,
  decision: decisionSchema,
  sheet: sheetLineSchema,
  photo: photoBodySchema,
  past: pastRunSchema,
} as const;
export type EntryKind = keyof typeof BODIES;
export type EntryBody<K extends EntryKind> = z.infer<(typeof BODIES)[K]>;

/**
 * Something that a person entered about a trial. Entries are only ever added: the latest of a kind, subject and property is in
 * force, and those before it are what it was. The id is given by whoever enters it, so that what is sent twice is kept once.
 */
export type Entry<K extends EntryKind = EntryKind> = {
  [N in K]: {
    readonly entry: string;
    readonly kind: N;
    /** The code of a specimen, the id of a plan or a lot, or the name of a past run. */
    readonly subject: string;
    /** Of a grade the property, of a sheet's line what it is for; else empty. */
    readonly property: string;
    readonly body: EntryBody<N>;
    /** By the clock of the screen it was entered on, which may have had no connection for a while; null: as it came in. */
    readonly enteredWall: number | null;
    /** The screen's own name. */
    readonly by: string | null;
  };
}[K];

/** An entry with when it came in. */
export type KeptEntry<K extends EntryKind = EntryKind> = Entry<K> & {
  readonly id: number;
  readonly wall: number;
};

const about = {
  entry: z.uuid(),
  enteredWall: z.int().min(0).max(8_640_000_000_000_000).nullable(),
  by: textSchema(40).nullable(),
};
export const gradeEntrySchema = z
  .strictObject({
    ...about,
    kind: z.literal("grade"),
    subject: codeSchema,
    property: z.enum(PROPERTY_IDS),
    body: gradeBodySchema,
  })
  .superRefine(({ property, body }, context) => {
    const expected = unfitValue(property, body.value);
    if (expected !== null) context.addIssue({ code: "custom", path: ["body", "value"], message: expected });
  });
export const stepEntrySchema = z.strictObject({
  ...about,
  kind: z.literal("step"),
  subject: codeSchema,
  property: z.literal(""),
  body: stepSchema,
});

/** What a screen sends: grades that waited for a connection among them, in the order in which they were entered. */
export const sentEntriesSchema = z.strictObject({
  entries: z
    .array(z.discriminatedUnion("kind", [gradeEntrySchema, stepEntrySchema]))
    .min(1)
    .max(200),
});
export type SentEntry = z.infer<typeof sentEntriesSchema>["entries"][number];

/** What became of an entry: kept now, known before, or refused for good with words. */
export interface EntryAnswer {
  readonly entry: string;
  readonly became: "kept" | "known" | "refused";
  readonly why: string | null;
}
