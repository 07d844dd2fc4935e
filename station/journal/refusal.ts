import { AppError, ERRORS, type ErrorCode } from "../errors.js";
import type { Refusal } from "./protocol.js";

/** An error as plain data: an Error that is cloned between threads loses its class and its code. */
export function refusalOf(error: unknown): Refusal {
  if (error instanceof AppError) return { code: error.code, detail: error.message };
  return { code: null, detail: error instanceof Error ? error.message : String(error) };
}

function isErrorCode(code: string | null): code is ErrorCode {
  return code !== null && Object.hasOwn(ERRORS, code);
}

export function errorOf({ code, detail }: Refusal): AppError {
  return new AppError(isErrorCode(code) ? code : "internal", detail);
}
