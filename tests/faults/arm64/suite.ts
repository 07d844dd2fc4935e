import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { temporaryFolder } from "../../service/station-process.js";
import { HERE, runOn } from "./system.js";

export interface Outcome {
  /** From the project's folder, in order. */
  readonly files: readonly string[];
  readonly passed: number;
  /** Each test that did not pass, with its file, how it ended and why. */
  readonly others: readonly string[];
  /** What Vitest said. */
  readonly said: string;
}

interface Report {
  readonly testResults: readonly {
    readonly name: string;
    readonly message: string;
    readonly assertionResults: readonly {
      readonly fullName: string;
      readonly status: string;
      readonly failureMessages: readonly string[];
    }[];
  }[];
}

const CONFIG = fileURLToPath(new URL("vitest.ts", import.meta.url));

/**
 * Runs unit tests on arm64, all in one process.
 * @param files from the project's folder
 * @throws Error where Vitest gives no report
 */
export async function runThere(files: readonly string[]): Promise<Outcome> {
  const { folder, remove } = temporaryFolder();
  try {
    const file = join(folder, "report.json");
    const { status, stdout, stderr } = await runOn(
      HERE,
      ...["node_modules/vitest/vitest.mjs", "run", "--config", CONFIG],
      ...["--reporter=default", "--reporter=json", `--outputFile=${file}`, ...files],
    );
    const said = `${stdout}${stderr}`.slice(-10_000);
    try {
      const outcome = outcomeOf(JSON.parse(readFileSync(file, "utf8")) as Report);
      // As with an error outside all tests.
      const more = status !== 0 && outcome.others.length === 0 ? [`Vitest ended with ${status}`] : [];
      return { ...outcome, others: [...outcome.others, ...more], said };
    } catch {
      throw new Error(`there is no report of the tests:\n${said}`);
    }
  } finally {
    remove();
  }
}

function outcomeOf({ testResults }: Report): Omit<Outcome, "said"> {
  const short = (path: string) => path.replace(`${process.cwd()}/`, "");
  const others: string[] = [];
  let passed = 0;
  for (const { name, message, assertionResults } of testResults) {
    // A file that could not be loaded has no tests.
    if (assertionResults.length === 0) others.push(`${short(name)}: ${message}`);
    for (const { fullName, status, failureMessages } of assertionResults) {
      if (status === "passed") passed += 1;
      else others.push(`${short(name)}: ${fullName}: ${status}: ${failureMessages.join("\n").slice(0, 500)}`);
    }
  }
  return { files: testResults.map(({ name }) => short(name)).sort(), passed, others };
}
