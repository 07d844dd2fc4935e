/**
 * The rules of the text format of OpenMetrics 1.0 (November 2020; https://prometheus.io/docs/specs/om/open_metrics_spec/,
 * source text docs/specs/om/open_metrics_spec.md of github.com/prometheus/docs, read for this file), as far as they touch
 * what the station writes: sections "ABNF", "Overall Structure", "MetricFamily", "Counter", "StateSet" and "Info".
 */

export interface ReadSample {
  readonly name: string;
  readonly labels: ReadonlyMap<string, string>;
  readonly value: number;
}

export interface ReadFamily {
  readonly type: string;
  readonly unit: string;
  readonly help: string;
  readonly samples: ReadSample[];
}

// Section "ABNF": the tokens, as expressions.
const NAME = "[A-Za-z_:][A-Za-z0-9_:]*";
const LABEL = '([A-Za-z_][A-Za-z0-9_]*)="((?:[^\\n"\\\\]|\\\\[^\\n])*)"';
const REAL = "[+-]?(?:\\d+(?:\\.\\d*)?|\\d*\\.\\d+)(?:[eE][+-]?\\d+)?";
const NUMBER = `(?:${REAL}|[+-]?[iI][nN][fF](?:[iI][nN][iI][tT][yY])?|[nN][aA][nN])`;
const DESCRIPTOR = new RegExp(`^# (TYPE|UNIT|HELP) (${NAME}) (.*)$`, "s");
const SAMPLE = new RegExp(
  `^(${NAME})(?:\\{((?:${LABEL})?(?:,${LABEL})*)\\})? (${NUMBER})(?: ${REAL})?$`,
  "s",
);
const TYPES = ["counter", "gauge", "histogram", "gaugehistogram", "stateset", "info", "summary", "unknown"];
const SUFFIXES: Readonly<Record<string, readonly string[]>> = {
  gauge: [""],
  unknown: [""],
  stateset: [""],
  info: ["_info"],
  counter: ["_total", "_created"],
  summary: ["", "_count", "_sum", "_created"],
};

/** Reads an exposition. @throws Error naming the line and the rule that it breaks */
export function readExposition(text: string): ReadonlyMap<string, ReadFamily> {
  const families = new Map<string, { type: string; unit: string; help: string; samples: ReadSample[] }>();
  const told = new Set<string>();
  let current = "";
  const refuse = (line: string, rule: string): never => {
    throw new Error(`${JSON.stringify(line)}: ${rule}`);
  };
  if (text.includes("\r")) refuse(text, "no carriage returns");
  if (text.startsWith("\u{FEFF}")) refuse(text, "no byte order mark");
  const lines = text.split("\n");
  if (lines.at(-1) === "") lines.pop();
  if (lines.pop() !== "# EOF") refuse(text, "ends with # EOF");

  const enter = (line: string, name: string) => {
    if (name === current) return;
    if (families.has(name)) refuse(line, "families are not interleaved");
    families.set(name, { type: "unknown", unit: "", help: "", samples: [] });
    current = name;
  };
  for (const line of lines) {
    const descriptor = DESCRIPTOR.exec(line);
    if (descriptor !== null) {
      const [, what = "", name = "", rest = ""] = descriptor;
      enter(line, name);
      const family = families.get(name);
      if (family === undefined) return refuse(line, "a family");
      if (told.has(`${what} ${name}`)) refuse(line, "one line of metadata of each kind");
      told.add(`${what} ${name}`);
      if (family.samples.length > 0) refuse(line, "metadata before the samples");
      if (what === "TYPE") family.type = TYPES.includes(rest) ? rest : refuse(line, "a known type");
      if (what === "UNIT") family.unit = rest;
      if (what === "HELP") family.help = unescaped(rest);
      if (what === "UNIT" && rest !== "" && !name.endsWith(`_${rest}`))
        refuse(line, "the unit ends the name");
      continue;
    }
    if (line.startsWith("#")) refuse(line, "no other lines with #");
    const sample = SAMPLE.exec(line);
    if (sample === null) return refuse(line, "a sample as in the ABNF");
    const [, name = "", labelText = ""] = sample;
    const number = sample[7] ?? "";
    const family = families.get(current);
    if (family === undefined) return refuse(line, "a family before its samples");
    const fits = (SUFFIXES[family.type] ?? []).some((suffix) => name === current + suffix);
    if (!fits) refuse(line, `a name that goes with the ${family.type} ${current}`);
    family.samples.push({ name, labels: labelsOf(line, labelText, refuse), value: numberOf(number) });
  }
  for (const [name, family] of families) checkFamily(name, family, refuse);
  return families;
}

function labelsOf(
  line: string,
  text: string,
  refuse: (line: string, rule: string) => never,
): ReadonlyMap<string, string> {
  const labels = new Map<string, string>();
  for (const [, label = "", value = ""] of text.matchAll(new RegExp(LABEL, "gs"))) {
    if (labels.has(label)) refuse(line, "label names are unique");
    if (label.startsWith("_")) refuse(line, "label names with an underscore first are reserved");
    labels.set(label, unescaped(value));
  }
  return labels;
}

/** Section "Escaping". */
function unescaped(text: string): string {
  return text.replace(/\\(.)/gs, (_all, character: string) => (character === "n" ? "\n" : character));
}

function numberOf(text: string): number {
  if (/inf/i.test(text)) return text.startsWith("-") ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
  return Number(text);
}

function checkFamily(
  name: string,
  { type, unit, samples }: ReadFamily,
  refuse: (line: string, rule: string) => never,
): void {
  if (name.startsWith("_") || name.includes(":")) refuse(name, "reserved names");
  const sets = samples.map(({ name: its, labels }) => JSON.stringify([its, [...labels].sort()]));
  if (new Set(sets).size !== sets.length) refuse(name, "every metric has a label set of its own");
  if ((type === "stateset" || type === "info") && unit !== "") refuse(name, `a ${type} has no unit`);
  if (type === "info" && samples.some(({ value }) => value !== 1)) refuse(name, "an info is always 1");
  if (type === "counter" && samples.some(({ name: its, value }) => its.endsWith("_total") && !(value >= 0))) {
    refuse(name, "a total is a number from 0 upwards");
  }
  if (type !== "stateset") return;
  const sums = new Map<string, number>();
  for (const { labels, value } of samples) {
    if (!labels.has(name)) refuse(name, "a state has the family's name as a label");
    if (value !== 0 && value !== 1) refuse(name, "a state is 0 or 1");
    const rest = JSON.stringify([...labels].filter(([label]) => label !== name).sort());
    sums.set(rest, (sums.get(rest) ?? 0) + value);
  }
  // Those that the station writes are all one of several.
  for (const sum of sums.values()) if (sum !== 1) refuse(name, "exactly one state is true");
}
