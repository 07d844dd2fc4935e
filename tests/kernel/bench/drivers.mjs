/**
 * The station's drivers without the station, which takes a guest minutes to start: those of the entries in the JSON file
 * argv[2], below the kernel's files in argv[3], run until SIGTERM. Over HTTP it says what they told last, what they find when they
 * check, and switches the output.
 */
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { createDigitalOutput } from "../../../.build/station/sources/digital-input/output.js";
import { digitalOutputEntrySchema } from "../../../.build/station/sources/digital-input/output-entry.js";
import { createSource, driverEntrySchema } from "../../../.build/station/sources/drivers.js";

const [, , file, sysRoot] = process.argv;
const given = JSON.parse(readFileSync(file, "utf8"));
// As `clock.ts`.
const now = () => ({ wall: Date.now(), mono: Number(process.hrtime.bigint() / 1_000_000n) });
const clock = { now, bootId: "bench", state: () => "unknown" };

const sources = given.sources.map((entry) =>
  createSource(driverEntrySchema.parse(entry), { clock, sysRoot }),
);
const output =
  given.output === undefined
    ? null
    : createDigitalOutput(digitalOutputEntrySchema.parse(given.output), { sysRoot });

/** The last reading of each point, by source and point, with the moment of the first that said the same, and the values before. */
const told = {};
const KEPT_VALUES = 60;
const sink = {
  reading: ({ source, point, at, ...what }) => {
    const key = `${source} ${point}`;
    const before = told[key];
    const same = before !== undefined && before.value === what.value && before.fault === what.fault;
    const values = [...(before?.values ?? []), ...("value" in what ? [what.value] : [])].slice(-KEPT_VALUES);
    told[key] = { mono: at.mono, since: same ? before.since : at.mono, values, ...what };
  },
  status: () => {},
};

const answers = {
  "/now": () => ({
    told,
    statuses: sources.map((source) => source.status()),
    output: output?.state() ?? null,
  }),
  "/start": () => {
    for (const source of sources) source.start(sink);
  },
  "/check": async () => [
    ...(await Promise.all(sources.map((source) => source.check()))).flat(),
    ...(output === null ? [] : [await output.check()]),
  ],
  "/on": () => output.set(true),
  "/off": () => output.set(false),
};

const server = createServer(async (request, response) => {
  try {
    response.end(JSON.stringify((await answers[request.url]()) ?? null));
  } catch (error) {
    response.statusCode = 500;
    response.end(String(error?.stack ?? error));
  }
});
server.listen(0, "127.0.0.1", () => {
  process.stdout.write(`listening url=http://127.0.0.1:${server.address().port}\n`);
});

process.on("SIGTERM", async () => {
  await Promise.all([...sources.map((source) => source.stop()), output?.close()]);
  process.exit();
});
