import { z } from "zod";
import { idSchema } from "../../model/channel.js";

export const serialEntrySchema = z.strictObject({
  id: idSchema,
  driver: z.literal("serial"),
  /** The name under /dev/serial/by-id stays with the board; /dev/ttyUSB0 goes to whichever is plugged in first. */
  path: z.string().regex(/^\/[^\p{Cc}]{1,255}$/u, "an absolute path, best one under /dev/serial/by-id"),
  /** Bits per second. */
  baud: z.int().min(300).max(4_000_000).default(115_200),
  /** Seconds without a good frame after which the board counts as silent. */
  silent_after_s: z.number().min(0.1).max(3600).default(5),
});
export type SerialEntry = z.infer<typeof serialEntrySchema>;
