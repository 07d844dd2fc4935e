/**
 * The text format of OpenMetrics 1.0 (the specification's sections "ABNF" and "Overall Structure"), written by hand: the
 * three types that the station needs are a few lines.
 */

export const OPENMETRICS_TYPE = "application/openmetrics-text; version=1.0.0; charset=utf-8";

export type Labels = Readonly<Record<string, string>>;

interface Sample {
  /** What follows the name of the family. */
  readonly suffix: string;
  readonly labels: Labels;
  readonly value: number;
}

/** One metric family with its samples; one without any is left out of the text. */
export interface Family {
  /** Letters, digits and "_", with the unit at its end. */
  readonly name: string;
  readonly type: "gauge" | "counter" | "info" | "stateset";
  /** Empty where there is none; else the end of the name behind a "_". */
  readonly unit: string;
  readonly help: string;
  readonly samples: readonly Sample[];
}

export interface Measured {
  readonly labels: Labels;
  readonly value: number;
}

/** @param unit is put behind the name; empty for none */
export function gauge(name: string, unit: string, help: string, measured: readonly Measured[]): Family {
  const samples = measured.map(({ labels, value }) => ({ suffix: "", labels, value }));
  return { name: unit === "" ? name : `${name}_${unit}`, type: "gauge", unit, help, samples };
}

/** @param createdS when it began to count from 0, seconds since 1970 */
export function counter(name: string, help: string, value: number, createdS: number): Family {
  const samples = [
    { suffix: "_total", labels: {}, value },
    { suffix: "_created", labels: {}, value: createdS },
  ];
  return { name, type: "counter", unit: "", help, samples };
}

/** Texts that hardly ever change, as labels. */
export function info(name: string, help: string, texts: readonly Labels[]): Family {
  const samples = texts.map((labels) => ({ suffix: "_info", labels, value: 1 }));
  return { name, type: "info", unit: "", help, samples };
}

/** One of several states each: a sample for every state, 1 for the one that holds. */
export function states(
  name: string,
  help: string,
  all: readonly string[],
  each: readonly { readonly labels: Labels; readonly state: string }[],
): Family {
  const samples = each.flatMap(({ labels, state }) =>
    all.map((one) => ({ suffix: "", labels: { ...labels, [name]: one }, value: one === state ? 1 : 0 })),
  );
  return { name, type: "stateset", unit: "", help, samples };
}

export function exposition(families: readonly Family[]): string {
  const shown = families.filter(({ samples }) => samples.length > 0);
  return `${shown.map(familyText).join("")}# EOF\n`;
}

function familyText({ name, type, unit, help, samples }: Family): string {
  const head = [
    `# TYPE ${name} ${type}\n`,
    ...(unit === "" ? [] : [`# UNIT ${name} ${unit}\n`]),
    `# HELP ${name} ${escaped(help)}\n`,
  ];
  const rows = samples.map(
    ({ suffix, labels, value }) => `${name}${suffix}${labelsText(labels)} ${numberText(value)}\n`,
  );
  return [...head, ...rows].join("");
}

/** An empty label is as good as none (section "Label"). */
function labelsText(labels: Labels): string {
  const pairs = Object.entries(labels).filter(([, text]) => text !== "");
  return pairs.length === 0
    ? ""
    : `{${pairs.map(([label, text]) => `${label}="${escaped(text)}"`).join(",")}}`;
}

/** Section "Escaping". What is no character of Unicode by itself becomes the replacement character, as UTF-8 has it. */
function escaped(text: string): string {
  return text
    .replace(/[\\"]/g, "\\$&")
    .replaceAll("\n", "\\n")
    .replaceAll("\r", " ")
    .replace(/\p{Surrogate}/gu, "\u{FFFD}");
}

/** Section "Numbers": JavaScript's own form is one of those, but for the infinities. */
function numberText(value: number): string {
  if (value === Number.POSITIVE_INFINITY) return "+Inf";
  if (value === Number.NEGATIVE_INFINITY) return "-Inf";
  return String(value);
}
