import type { Action } from "../protocol.js";

/**
 * The end of a run as it is kept while the readings before it are held: its stamp says so. A kill would take those readings with it, and
 * nobody could then tell a stamp whose readings never were in the journal from one that is wrong.
 */
export function whileHeld(action: Action): Action {
  if (action.name !== "runEnded" || action.params.stamp === null) return action;
  return { ...action, params: { ...action.params, stamp: { ...action.params.stamp, readingsHeld: true } } };
}
