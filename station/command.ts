import { parseArgs } from "node:util";
import { type CheckReport, checkStation, wordsOf } from "./check.js";
import { AppError } from "./errors.js";

const HELP = `Usage: npm run station -- VERB [options]

  check            what is wired, what is missing, and how to mend it

  --config FILE    the station's configuration (default: station.yaml here, else the simulated bench)
  --sys-root DIR   where the kernel shows its devices (default /sys)
  --json           the answer as one JSON object
`;

/** Exit codes: 0 all is well, 1 something is missing or wrong, 2 the call itself was not understood. */
async function main(argv: readonly string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args: [...argv],
    allowPositionals: true,
    options: {
      config: { type: "string" },
      "sys-root": { type: "string", default: "/sys" },
      json: { type: "boolean", default: false },
      help: { type: "boolean", default: false },
    },
  });
  const [verb, ...rest] = positionals;
  if (values.help) {
    process.stdout.write(HELP);
    return 0;
  }
  if (verb !== "check" || rest.length > 0) {
    process.stderr.write(
      `${verb === undefined ? "No verb was given" : `"${positionals.join(" ")}" is no verb`}.\n\n${HELP}`,
    );
    return 2;
  }
  const report: CheckReport = await checkStation(values.config ?? null, values["sys-root"]);
  process.stdout.write(values.json ? `${JSON.stringify(report)}\n` : wordsOf(report));
  return report.ok ? 0 : 1;
}

main(process.argv.slice(2)).then(
  (code) => {
    process.exitCode = code;
  },
  (error: unknown) => {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
    process.exitCode = error instanceof AppError ? 1 : 2;
  },
);
