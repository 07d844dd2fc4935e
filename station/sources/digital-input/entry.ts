import { z } from "zod";
import { idSchema } from "../../model/channel.js";
import { BIASES } from "../gpio/line.js";

/** Part of a chip's label, as in /sys/class/gpio/gpiochip…/label. */
export const chipSchema = z
  .string()
  .regex(/^[\w.:@-]{1,60}$/, "part of a GPIO chip's label, such as pinctrl-bcm2711");

/** A line's number on its chip: on the Pi's header the GPIO number, not that of the pin. Or its name. */
export const lineSchema = z.union([
  z.int().min(0).max(1023),
  z
    .string()
    .regex(/^[A-Za-z_][\w.+-]{0,31}$/, "a line's number on its chip, or its name as gpioinfo shows it"),
]);

/** The resistor inside the chip; left as it is where not said. */
export const biasSchema = z.enum(BIASES);

export const digitalInputEntrySchema = z.strictObject({
  id: idSchema,
  driver: z.literal("digital-input"),
  /** Without, the chip of the Pi's header. */
  chip: chipSchema.optional(),
  line: lineSchema,
  bias: biasSchema.optional(),
  /** True where the contact pulls the line to ground when the thing is on. */
  active_low: z.boolean().default(false),
  /** The level must stand this long before it counts. */
  debounce_ms: z.number().min(0).max(5000).default(20),
  point: z.string().min(1).max(80).default("state"),
  /** The state is looked at and reported at least this often, in seconds. */
  every_s: z.number().min(0.1).max(60).default(1),
});
export type DigitalInputEntry = z.infer<typeof digitalInputEntrySchema>;
