import { z } from "zod";
import { idSchema } from "../../model/channel.js";

export const kernelOneWireEntrySchema = z.strictObject({
  id: idSchema,
  driver: z.literal("kernel-1-wire"),
  /** The probe's own number, as its folder under /sys/bus/w1/devices is called. */
  device: z
    .string()
    .regex(/^28-[0-9a-f]{12}$/, "28- and twelve hexadecimal digits, as the folder in /sys/bus/w1/devices"),
  /** Seconds; a conversion alone takes most of one. */
  every_s: z.number().min(1).max(600).default(2),
  /** For probes whose byte 6 tells nothing: more than this many °C from the last reading to 85.0 is a restart of the probe. */
  max_jump_c: z.number().positive().max(100).default(10),
});
export type KernelOneWireEntry = z.infer<typeof kernelOneWireEntrySchema>;
