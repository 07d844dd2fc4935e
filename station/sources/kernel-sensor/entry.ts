import { z } from "zod";
import { idSchema } from "../../model/channel.js";

export const KERNEL_POINTS = ["temperature", "humidity", "fan", "pressure"] as const;

export const kernelSensorEntrySchema = z.strictObject({
  id: idSchema,
  driver: z.literal("kernel-sensor"),
  subsystem: z.enum(["hwmon", "iio"]),
  /** What the kernel's driver calls itself in the `name` file: sht3x, bme280, dht11, … */
  name: z.string().regex(/^[\w.-]{1,60}$/, "a driver's name, as in the file called name"),
  /** Part of the device's path that tells two of one name apart, such as the I2C address "1-0045". */
  address: z
    .string()
    .regex(/^[\w.:@-]{1,60}$/, "part of the device's path, such as 1-0045")
    .optional(),
  every_s: z.number().min(0.5).max(600).default(2),
  /** Which of its points to read; without, all that it has. */
  points: z.array(z.enum(KERNEL_POINTS)).min(1).optional(),
});
export type KernelSensorEntry = z.infer<typeof kernelSensorEntrySchema>;
