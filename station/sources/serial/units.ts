import type { Unit } from "../../model/quantity.js";

interface Conversion {
  readonly unit: Unit;
  readonly convert: (value: number) => number;
}

const times = (unit: Unit, factor: number): Conversion => ({ unit, convert: (value) => value * factor });
const same = (unit: Unit): Conversion => times(unit, 1);

/**
 * SenML units (RFC 8428 section 12.1, RFC 8798 for the secondary ones) and the unit that the station keeps instead.
 * `l/min` is no registered unit, but the usual one of flow meters, so it is taken as well as `l/s`.
 */
const CONVERSIONS: ReadonlyMap<string, Conversion> = new Map([
  ["Cel", same("Cel")],
  ["K", { unit: "Cel" as const, convert: (value: number) => value - 273.15 }],
  ["%RH", same("%RH")],
  ["m/s", same("m/s")],
  ["km/h", times("m/s", 1 / 3.6)],
  ["Pa", same("Pa")],
  ["hPa", times("Pa", 100)],
  ["1/min", same("1/min")],
  ["1/s", times("1/min", 60)],
  ["Hz", times("1/min", 60)],
  ["l/min", same("l/min")],
  ["l/s", times("l/min", 60)],
  ["m3/s", times("l/min", 60_000)],
]);

/** A number in a unit of SenML, in the station's unit for it; null where the station has none. "/" is a state: 1 or 0. */
export function convertUnit(value: number, unit: string | null): { value: number; unit: Unit } | null {
  if (unit === "/" && (value === 0 || value === 1)) return { value, unit: "state" };
  const conversion = unit === null ? undefined : CONVERSIONS.get(unit);
  if (conversion === undefined) return null;
  return { value: conversion.convert(value), unit: conversion.unit };
}
