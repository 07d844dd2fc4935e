import { z } from "zod";
import { idSchema } from "../../model/channel.js";
import { biasSchema, chipSchema, lineSchema } from "../digital-input/entry.js";

/** Pulses a revolution of a computer fan: Intel, 4-Wire Pulse Width Modulation (PWM) Controlled Fans, specification. */
export const FAN_PULSES = 2;

export const tachometerEntrySchema = z
  .strictObject({
    id: idSchema,
    driver: z.literal("tachometer"),
    chip: chipSchema.optional(),
    line: lineSchema,
    bias: biasSchema.optional(),
    /** A speed in 1/min (point `speed`) or a flow in L/min (point `flow`). */
    measures: z.enum(["speed", "flow"]).default("speed"),
    /** Pulses per revolution (2 where not said), or per litre. The sensor's own sheet wins. */
    pulses_per_unit: z.number().positive().max(100_000).optional(),
    /** Seconds over which pulses are counted. */
    window_s: z.number().min(0.5).max(60).default(2),
    every_s: z.number().min(0.5).max(60).default(1),
    /** True only where the sensor leaves its output open when it stands still, whatever its position. */
    idle_high: z.boolean().default(false),
    /** A second line that is joined to ground inside the sensor's plug: high means that the plug is off. */
    wire_test: lineSchema.optional(),
  })
  .refine((entry) => entry.measures === "speed" || entry.pulses_per_unit !== undefined, {
    message: "pulses per litre, from the flow sensor's sheet",
    path: ["pulses_per_unit"],
  })
  .refine((entry) => entry.wire_test !== entry.line, {
    message: "another line than the pulses come on",
    path: ["wire_test"],
  });
export type TachometerEntry = z.infer<typeof tachometerEntrySchema>;
