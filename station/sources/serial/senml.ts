/** Resolves a SenML Pack in its JSON form: RFC 8428, sections 4 and 5. Nothing of it knows what the station measures. */

/** The version that RFC 8428 defines. */
const VERSION = 10;
/** Times below this are relative to now, the others seconds since 1970 (section 4.5.3). */
export const ABSOLUTE_TIME_FROM = 2 ** 28;

const NAME = /^[A-Za-z0-9][A-Za-z0-9\-:./_]*$/;

export type SenmlValue =
  | { readonly kind: "number"; readonly value: number }
  | { readonly kind: "boolean"; readonly value: boolean }
  | { readonly kind: "string"; readonly value: string }
  | { readonly kind: "data"; readonly value: string }
  /** A record that has a sum only. */
  | { readonly kind: "none" };

/** A record with every base value applied (section 4.6), but with its time still relative where it was so. */
export interface ResolvedRecord {
  readonly name: string;
  readonly unit: string | null;
  readonly value: SenmlValue;
  /** Integral over time in unit·seconds; null where there is neither sum nor base sum. */
  readonly sum: number | null;
  /** Seconds: relative to now below 2²⁸, else since 1970. */
  readonly time: number;
  /** Seconds until the next update at the latest; null where not said. */
  readonly updateTime: number | null;
}

export type SenmlPack =
  | { readonly ok: true; readonly records: readonly ResolvedRecord[] }
  | { readonly ok: false; readonly detail: string };

const NUMBERS = ["bt", "bv", "bs", "bver", "v", "s", "t", "ut"] as const;
const STRINGS = ["bn", "bu", "n", "u", "vs", "vd"] as const;
type NumberLabel = (typeof NUMBERS)[number];
type StringLabel = (typeof STRINGS)[number];

type Fields = { [label in NumberLabel]?: number } & { [label in StringLabel]?: string } & { vb?: boolean };

class Refusal extends Error {}

/** Time of a resolved record in seconds since 1970, with "now" as the receiver knows it. */
export function absoluteTime(time: number, nowS: number): number {
  return time < ABSOLUTE_TIME_FROM ? nowS + time : time;
}

/**
 * Resolves what a JSON parser gave. The whole Pack is refused where a rule of the RFC is broken: a label ending in "_"
 * that is not known, a version above 10 or two versions, a name that is empty or has other characters, more than one
 * value or none, a field of the wrong type, a number beyond double precision. Labels that are not known are ignored.
 */
export function resolvePack(json: unknown): SenmlPack {
  if (!Array.isArray(json)) return { ok: false, detail: "a Pack is an array" };
  const base: { bn: string; bt: number; bu: string | null; bv: number | null; bs: number | null } = {
    bn: "",
    bt: 0,
    bu: null,
    bv: null,
    bs: null,
  };
  let version: number | null = null;
  const records: ResolvedRecord[] = [];
  try {
    for (const item of json) {
      const fields = readFields(item);
      base.bn = fields.bn ?? base.bn;
      base.bt = fields.bt ?? base.bt;
      base.bu = fields.bu ?? base.bu;
      base.bv = fields.bv ?? base.bv;
      base.bs = fields.bs ?? base.bs;
      // A version in a later record only must be that which the records before it had by default.
      const stated: number = fields.bver ?? version ?? VERSION;
      checkVersion(stated, version);
      version = stated;
      if (onlyBaseFields(fields)) continue;
      records.push(resolveRecord(fields, base));
    }
  } catch (error) {
    if (error instanceof Refusal) return { ok: false, detail: error.message };
    throw error;
  }
  return { ok: true, records };
}

function checkVersion(stated: number, before: number | null): void {
  if (!Number.isInteger(stated) || stated < 1) throw new Refusal("a version is a positive whole number");
  if (stated > VERSION) throw new Refusal(`version ${stated} is newer than ${VERSION}`);
  if (before !== null && before !== stated) throw new Refusal("all records of a Pack have one version");
}

function resolveRecord(
  fields: Fields,
  base: { bn: string; bt: number; bu: string | null; bv: number | null; bs: number | null },
): ResolvedRecord {
  const name = base.bn + (fields.n ?? "");
  if (!NAME.test(name))
    throw new Refusal("a name is of A-Z a-z 0-9 - : . / _ and starts with a letter or digit");
  const sum = fields.s === undefined && base.bs === null ? null : finite((fields.s ?? 0) + (base.bs ?? 0));
  return {
    name,
    unit: fields.u ?? base.bu,
    value: senmlValueOf(fields, base.bv, sum !== null),
    sum,
    time: finite((fields.t ?? 0) + base.bt),
    updateTime: fields.ut ?? null,
  };
}

function senmlValueOf(fields: Fields, baseValue: number | null, hasSum: boolean): SenmlValue {
  const values: SenmlValue[] = [];
  if (fields.v !== undefined) values.push({ kind: "number", value: finite(fields.v + (baseValue ?? 0)) });
  if (fields.vb !== undefined) values.push({ kind: "boolean", value: fields.vb });
  if (fields.vs !== undefined) values.push({ kind: "string", value: fields.vs });
  if (fields.vd !== undefined) values.push({ kind: "data", value: fields.vd });
  const [value] = values;
  if (values.length > 1) throw new Refusal("a record has exactly one value");
  if (value !== undefined) return value;
  if (!hasSum) throw new Refusal("a record has a value or a sum");
  return { kind: "none" };
}

/** A record that only sets base values, as in the first example of section 5.1.7. */
function onlyBaseFields(fields: Fields): boolean {
  return Object.keys(fields).every((label) => label.startsWith("b"));
}

function readFields(item: unknown): Fields {
  if (typeof item !== "object" || item === null || Array.isArray(item))
    throw new Refusal("a record is an object");
  const fields: Fields = {};
  for (const [label, value] of Object.entries(item)) {
    if (isOneOf(NUMBERS, label)) {
      if (typeof value !== "number") throw new Refusal(`${label} is a number`);
      fields[label] = finite(value);
    } else if (isOneOf(STRINGS, label)) {
      if (typeof value !== "string") throw new Refusal(`${label} is a string`);
      fields[label] = value;
    } else if (label === "vb") {
      if (typeof value !== "boolean") throw new Refusal("vb is a boolean");
      fields.vb = value;
    } else if (label.endsWith("_")) {
      throw new Refusal(`the field ${label} must be understood, and is not`);
    }
  }
  return fields;
}

function isOneOf<T extends string>(labels: readonly T[], label: string): label is T {
  return (labels as readonly string[]).includes(label);
}

function finite(value: number): number {
  if (!Number.isFinite(value)) throw new Refusal("a number is beyond double precision");
  return value;
}
