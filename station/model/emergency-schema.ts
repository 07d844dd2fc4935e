import { z } from "zod";
import { textSchema } from "./channel.js";
import { EMERGENCY_FIELDS, type EmergencyFacts } from "./emergency.js";

export const emergencySchema: z.ZodType<EmergencyFacts> = z.strictObject(
  Object.fromEntries(EMERGENCY_FIELDS.map(({ key, most }) => [key, textSchema(most).optional()])),
);
