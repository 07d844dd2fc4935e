import type { z } from "zod";

/** Where a value is not as its schema wants it, and what was expected there, for people. */
export interface Fault {
  readonly path: readonly PropertyKey[];
  readonly expected: string;
}

export function faultsOf(error: z.ZodError): Fault[] {
  return error.issues.flatMap(faultsOfIssue);
}

function faultsOfIssue(issue: z.core.$ZodIssue): Fault[] {
  if (issue.code === "unrecognized_keys") {
    return issue.keys.map((key) => ({
      path: [...issue.path, key],
      expected: "no such setting here: check its spelling",
    }));
  }
  if (issue.code === "invalid_union" && issue.errors.length > 0) {
    // The form that fits best is the one with the fewest faults; its words help more than "no form fits".
    const best = issue.errors.reduce((least, each) => (each.length < least.length ? each : least));
    const faults = best.flatMap((inner) => faultsOfIssue({ ...inner, path: [...issue.path, ...inner.path] }));
    if (faults.length > 0) return faults;
  }
  return [{ path: issue.path, expected: expectedOf(issue) }];
}

function expectedOf(issue: z.core.$ZodIssue): string {
  if (issue.code === "invalid_type") return TYPE_WORDS[issue.expected] ?? `a ${issue.expected}`;
  if (issue.code === "invalid_value")
    return `one of ${issue.values.map((value) => JSON.stringify(value)).join(", ")}`;
  if (issue.code === "too_small") {
    return `${issue.inclusive ? "at least" : "more than"} ${issue.minimum}${countedWords(issue.origin)}`;
  }
  if (issue.code === "too_big") {
    return `${issue.inclusive ? "at most" : "less than"} ${issue.maximum}${countedWords(issue.origin)}`;
  }
  if (issue.code === "invalid_union" && "options" in issue && Array.isArray(issue.options)) {
    return `one of ${issue.options.map((option) => JSON.stringify(option)).join(", ")}`;
  }
  return issue.message;
}

function countedWords(origin: string): string {
  if (origin === "string") return " characters";
  return origin === "array" ? " entries" : "";
}

const TYPE_WORDS: Readonly<Record<string, string>> = {
  int: "a whole number",
  object: "a section of settings",
  array: "a list",
  string: "text",
  boolean: "true or false",
};
