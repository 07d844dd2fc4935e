import { AppError, ERRORS, type ErrorCode } from "../errors.js";
import type { Parcel, Receipt, Refusal } from "./protocol.js";
import { passingTrouble } from "./trouble.js";

/** An error as plain data: an Error that is cloned between threads loses its class and its code. */
export function refusalOf(error: unknown): Refusal {
  if (error instanceof AppError) return { code: error.code, detail: error.message };
  const trouble = passingTrouble(error);
  if (trouble !== null)
    return { code: "journal-unusable", detail: `The journal cannot be used: ${trouble}.` };
  return { code: null, detail: error instanceof Error ? error.message : String(error) };
}

function isErrorCode(code: string | null): code is ErrorCode {
  return code !== null && Object.hasOwn(ERRORS, code);
}

export function errorOf({ code, detail }: Refusal): AppError {
  return new AppError(isErrorCode(code) ? code : "internal", detail);
}

/** The receipt of a parcel that could not be kept at all. */
export function cannotBeKept({ readings }: Parcel, error: unknown): Receipt {
  return { result: null, refused: refusalOf(error), lost: readings?.count ?? 0, held: false, tookMs: null };
}
