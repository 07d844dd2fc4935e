import { parseArgs } from "node:util";
import { AppError } from "./errors.js";
import { Misuse, type Verb, type VerbCall, wordsOfError } from "./verb.js";

/** Each is loaded when it is called: together they are most of the program, and an export has no use for the statistics of review. */
const VERBS: Readonly<Record<string, () => Promise<Verb>>> = {
  check: async () => (await import("./check.js")).checkVerb,
  verify: async () => (await import("./verify.js")).verifyVerb,
  export: async () => (await import("./export-verb.js")).exportVerb,
  import: async () => (await import("./import-verb.js")).importVerb,
  backup: async () => (await import("./backup-verb.js")).backupVerb,
  restore: async () => (await import("./backup-verb.js")).restoreVerb,
  review: async () => (await import("./review-verb.js")).reviewVerb,
  status: async () => (await import("./status-verb.js")).statusVerb,
  schema: async () => (await import("./schema-verb.js")).schemaVerb,
  passphrase: async () => (await import("./passphrase-verb.js")).passphraseVerb,
};

async function help(): Promise<string> {
  const verbs = await Promise.all(Object.values(VERBS).map((verb) => verb()));
  return `Usage: npm run station -- VERB [options]

${verbs.map((verb) => verb.help).join("\n")}
  --config FILE    the station's configuration (default: station.yaml here, else the simulated bench)
  --journal FOLDER for all verbs but check: the folder of the journal (default: as in the configuration)
  --json           the answer as one JSON object
`;
}

/** Exit codes: 0 the work is done and all is well, 1 it is not, 2 the call itself was not understood. */
async function main(argv: readonly string[], environment: NodeJS.ProcessEnv): Promise<number> {
  // A backup, an export and a passphrase are for the user that made them.
  process.umask(0o077);
  const [name, ...rest] = argv;
  if (name === "--help") {
    process.stdout.write(await help());
    return 0;
  }
  const load = name !== undefined && Object.hasOwn(VERBS, name) ? VERBS[name] : undefined;
  if (load === undefined) {
    const fault = name === undefined ? "No verb was given" : `"${name}" is no verb`;
    process.stderr.write(`${fault}.\n\n${await help()}`);
    return 2;
  }
  const verb = await load();
  const call = parseCall(verb, rest, environment);
  if (call === null) {
    process.stdout.write(await help());
    return 0;
  }
  return verb.run(call);
}

/** @returns null where only help was asked for @throws Misuse */
function parseCall(verb: Verb, args: readonly string[], environment: NodeJS.ProcessEnv): VerbCall | null {
  const json = { type: "boolean" } as const;
  const parsed = parseArgs({
    args: [...args],
    allowPositionals: true,
    options: { ...verb.options, json, help: json },
  });
  const { positionals } = parsed;
  const values: Readonly<Record<string, unknown>> = parsed.values;
  if (values.help === true) return null;
  const [least, most] = [verb.operands].flat() as [number, number?];
  if (positionals.length < least || positionals.length > (most ?? least)) {
    throw new Misuse(`Found "${positionals.join(" ")}" behind the verb; expected:\n\n${verb.help}`);
  }
  const texts = (option: string) =>
    [values[option] ?? []].flat().filter((value): value is string => typeof value === "string");
  return {
    operands: positionals,
    text: (option) => texts(option).at(-1) ?? null,
    texts,
    given: (option) => values[option] === true,
    json: values.json === true,
    variable: (name) => environment[name] ?? null,
  };
}

// Whoever reads the answer may have seen enough of it.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code !== "EPIPE") throw error;
  process.exit();
});
main(process.argv.slice(2), process.env).then(
  (code) => {
    process.exitCode = code;
  },
  (error: unknown) => {
    process.stderr.write(`${wordsOfError(error)}\n`);
    process.exitCode = error instanceof AppError ? 1 : 2;
  },
);
