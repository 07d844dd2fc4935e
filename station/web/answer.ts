import type { Response } from "express";
import type { Kept } from "../trials/kept.js";

/** Answers with `status`, or with 202 where the thing is done but not on the disk yet. */
export function answerKept<T>(response: Response, { value, kept }: Kept<T>, status = 200): void {
  response.status(kept ? status : 202).json(value);
}
