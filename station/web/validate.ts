import { z } from "zod";
import { AppError } from "../errors.js";
import { faultsOf } from "../faults.js";

/**
 * The part of a request named `what`, checked against its schema.
 * @throws AppError `request-invalid`, naming each field that is not right and what was expected there
 */
export function valid<S extends z.ZodType>(
  schema: S,
  value: unknown,
  what: "body" | "query" | "address" | "message",
): z.infer<S> {
  const parsed = schema.safeParse(value);
  if (parsed.success) return parsed.data;
  const errors = faultsOf(parsed.error).map(({ path, expected }) => ({
    path: path.length === 0 ? `(${what})` : path.map(String).join("."),
    expected,
  }));
  const words = errors.map(({ path, expected }) => `${path}: ${expected}`).join("; ");
  throw new AppError(
    "request-invalid",
    `The ${what} is not of the form that was expected: ${words}.`,
    errors,
  );
}

/** A whole number in the text of a query. */
export const wholeNumber = (least: number, most: number) =>
  z
    .string()
    .regex(/^\d{1,16}$/, `a whole number from ${least} to ${most}`)
    .transform(Number)
    .pipe(z.number().min(least).max(most));
