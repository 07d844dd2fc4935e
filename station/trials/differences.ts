/** Where two values that JSON can hold differ. */
export interface Difference {
  /** `channels.coolant-in.mean` */
  readonly path: string;
  /** As JSON; "nothing" where there is none. */
  readonly kept: string;
  readonly again: string;
}

/** Every leaf in which `again` is not what was `kept`, by way of JSON: what JSON cannot tell apart is the same. */
export function differences(kept: unknown, again: unknown): Difference[] {
  return walk(asJson(kept), asJson(again), "");
}

function asJson(value: unknown): unknown {
  return value === undefined ? undefined : JSON.parse(JSON.stringify(value));
}

function walk(kept: unknown, again: unknown, path: string): Difference[] {
  if (!isObject(kept) || !isObject(again) || Array.isArray(kept) !== Array.isArray(again)) {
    return JSON.stringify(kept) === JSON.stringify(again)
      ? []
      : [{ path: path === "" ? "(all)" : path, kept: shown(kept), again: shown(again) }];
  }
  const keys = new Set([...Object.keys(kept), ...Object.keys(again)]);
  return [...keys].flatMap((key) => walk(kept[key], again[key], path === "" ? key : `${path}.${key}`));
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null;
}

function shown(value: unknown): string {
  return value === undefined ? "nothing" : JSON.stringify(value);
}
