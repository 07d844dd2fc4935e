import type { Response } from "express";
import type { Kept } from "../trials/kept.js";

/** Answers with `status`, or with 202 where the thing is done but not on the disk yet. */
export function answerKept<T>(response: Response, { value, kept }: Kept<T>, status = 200): void {
  response.status(kept ? status : 202).json(value);
}

/** Answers with JSON that another thread has written. */
export function answerWritten(response: Response, json: Uint8Array): void {
  response.type("application/json").send(bytesOf(json));
}

/** As what express sends, without copying. */
export function bytesOf({ buffer, byteOffset, byteLength }: Uint8Array): Buffer {
  return Buffer.from(buffer, byteOffset, byteLength);
}
