import type { Unit } from "../../model/quantity.js";
import type { Reason } from "../../model/reading.js";
import type { KERNEL_POINTS, KernelSensorEntry } from "./entry.js";

export type KernelPoint = (typeof KERNEL_POINTS)[number];

/** Which files make up a point: one that is already scaled, or a raw value with its optional offset and scale. */
export interface PointPlan {
  readonly point: KernelPoint;
  readonly unit: Unit;
  /** What one step of the kernel's unit is worth in `unit`. */
  readonly factor: number;
  readonly files:
    | { readonly input: string }
    | { readonly raw: string; readonly offset: string | null; readonly scale: string | null };
}

export type Parsed = { readonly value: number } | { readonly fault: Reason; readonly detail: string };

/** hwmon files and units: Linux, Documentation/ABI/testing/sysfs-class-hwmon. */
const HWMON: readonly { point: KernelPoint; unit: Unit; factor: number; file: string }[] = [
  { point: "temperature", unit: "Cel", factor: 0.001, file: "temp1_input" },
  { point: "humidity", unit: "%RH", factor: 0.001, file: "humidity1_input" },
  { point: "fan", unit: "1/min", factor: 1, file: "fan1_input" },
];

/** IIO files and units: Linux, Documentation/ABI/testing/sysfs-bus-iio. Milli °C, milli per cent, kilopascals. */
const IIO: readonly { point: KernelPoint; unit: Unit; factor: number; stems: readonly string[] }[] = [
  { point: "temperature", unit: "Cel", factor: 0.001, stems: ["in_temp", "in_temp0"] },
  { point: "humidity", unit: "%RH", factor: 0.001, stems: ["in_humidityrelative", "in_humidityrelative0"] },
  { point: "pressure", unit: "Pa", factor: 1000, stems: ["in_pressure", "in_pressure0"] },
];

/** The points that a folder with these files can give, in a fixed order. */
export function planPoints(
  subsystem: KernelSensorEntry["subsystem"],
  fileNames: Iterable<string>,
): readonly PointPlan[] {
  const there = new Set(fileNames);
  if (subsystem === "hwmon") {
    return HWMON.filter(({ file }) => there.has(file)).map(({ file, ...rest }) => ({
      ...rest,
      files: { input: file },
    }));
  }
  return IIO.flatMap(({ stems, ...rest }): PointPlan[] => {
    for (const stem of stems) {
      if (there.has(`${stem}_input`)) return [{ ...rest, files: { input: `${stem}_input` } }];
      if (there.has(`${stem}_raw`)) {
        const optional = (name: string) => (there.has(name) ? name : null);
        const files = {
          raw: `${stem}_raw`,
          offset: optional(`${stem}_offset`),
          scale: optional(`${stem}_scale`),
        };
        return [{ ...rest, files }];
      }
    }
    return [];
  });
}

/** Every point that the subsystem can have: what to mark as bad where the sensor was never seen. */
export function possiblePoints(subsystem: KernelSensorEntry["subsystem"]): readonly KernelPoint[] {
  return (subsystem === "hwmon" ? HWMON : IIO).map(({ point }) => point);
}

const NUMBER = /^[+-]?\d{1,15}(?:\.\d{1,15})?$/;

/** A number as the kernel prints it: a whole one, or with decimals in IIO scales. Nothing, or half a line, is `empty`. */
export function parseNumber(text: string): Parsed {
  const trimmed = text.trim();
  if (trimmed === "") return { fault: "empty", detail: "the file was empty" };
  if (!NUMBER.test(trimmed)) return { fault: "garbled", detail: "the file does not hold a number" };
  return { value: Number(trimmed) };
}

/** The point's value in its unit: `input × factor`, or `(raw + offset) × scale × factor`. */
export function resolvePoint(plan: PointPlan, texts: ReadonlyMap<string, string>): Parsed {
  const numberOf = (file: string | null, missing: number): Parsed =>
    file === null ? { value: missing } : parseNumber(texts.get(file) ?? "");
  if ("input" in plan.files) {
    const input = numberOf(plan.files.input, 0);
    return "fault" in input ? input : { value: input.value * plan.factor };
  }
  const raw = numberOf(plan.files.raw, 0);
  const offset = numberOf(plan.files.offset, 0);
  const scale = numberOf(plan.files.scale, 1);
  if ("fault" in raw) return raw;
  if ("fault" in offset) return offset;
  if ("fault" in scale) return scale;
  return { value: (raw.value + offset.value) * scale.value * plan.factor };
}

/** The files to read for a point, raw first. */
export function filesOf(plan: PointPlan): readonly string[] {
  if ("input" in plan.files) return [plan.files.input];
  const { raw, offset, scale } = plan.files;
  return [raw, offset, scale].filter((file) => file !== null);
}
