import { z } from "zod";

/**
 * A grade's place in its rubric, 0 for the best, or what was measured; null takes back what was given.
 */
export const gradeBodySchema = z.strictObject({
  value: z.number().nullable(),
  /** 1, or 2 where the specimen is graded a second time without sight of the first. */
  grading: z.union([z.literal(1), z.literal(2)]),
});
export type GradeBody = z.infer<typeof gradeBodySchema>;
