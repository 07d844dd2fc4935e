import { z } from "zod";
import { CHANNEL_KINDS, type ChannelKind, UNITS, type Unit } from "./quantity.js";

const kinds = Object.keys(CHANNEL_KINDS) as [ChannelKind, ...ChannelKind[]];
const units = Object.keys(UNITS) as [Unit, ...Unit[]];

/** Ids go into addresses and file names; what people read is `name`. */
export const idSchema = z
  .string()
  .regex(
    /^[a-z0-9][a-z0-9-]{0,39}$/,
    "lower-case letters, digits and hyphens, at most 40, starting with a letter or digit",
  );

/** Text that people type and read: any characters but control ones. */
export const textSchema = (most: number) =>
  z
    .string()
    .max(most, `at most ${most} characters`)
    .regex(/^\P{Cc}*$/u, "no control characters");

const rangeSchema = z
  .tuple([z.number(), z.number()])
  .refine(([low, high]) => low < high, "two numbers, the lower first");

/**
 * `offset` is added to what the sensor says. `points` are pairs [sensor says, truth], interpolated linearly between
 * neighbours; beyond the outer points the nearest segment is carried on and the reading is marked uncertain.
 */
export const calibrationSchema = z.union([
  z.strictObject({ offset: z.number() }),
  z.strictObject({
    points: z
      .array(z.tuple([z.number(), z.number()]))
      .min(2, "at least two points")
      .max(20, "at most twenty points")
      .refine(
        (points) =>
          points.every((p, i) => i === 0 || p[0] > (points[i - 1]?.[0] ?? Number.NEGATIVE_INFINITY)),
        "points in rising order of what the sensor says",
      ),
  }),
]);
export type Calibration = z.infer<typeof calibrationSchema>;

export const channelSchema = z.strictObject({
  id: idSchema,
  name: textSchema(60).min(1).optional(),
  kind: z.enum(kinds),
  source: idSchema,
  /** The source's name of what is read; may be left out where the source has one point only. */
  point: z.string().min(1).max(80).optional(),
  /** Unit the source reports in; default: the unit of the kind. */
  unit: z.enum(units).optional(),
  calibration: calibrationSchema.optional(),
  /** Values outside are bad: the sensor cannot measure them, or the thing cannot be so. After calibration. */
  valid: rangeSchema.optional(),
  /** Smallest step the sensor tells apart, in its unit. */
  resolution: z.number().positive().optional(),
  /** Seconds between readings as promised by the source; with none for `stale_after_s` the channel is stale. */
  expected_every_s: z.number().positive().max(3600).optional(),
  stale_after_s: z.number().positive().max(7200).optional(),
  /** For extraction kinds: the least value at which the extraction counts as moving air. */
  running_at: z.number().positive().optional(),
});
export type ChannelEntry = z.infer<typeof channelSchema>;

/** A channel with every default filled in; frozen with the configuration. */
export interface ChannelDefinition {
  readonly id: string;
  readonly name: string;
  readonly kind: ChannelKind;
  readonly unit: Unit;
  readonly source: string;
  /** Null: whatever point the source reports. */
  readonly point: string | null;
  readonly calibration: Calibration | null;
  readonly valid: readonly [number, number];
  readonly resolution: number;
  readonly expectedEveryS: number;
  readonly staleAfterS: number;
  readonly runningAt: number | null;
}
