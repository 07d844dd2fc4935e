import { createHash, randomUUID } from "node:crypto";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { setTimeout as pause } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { CAUTIONS } from "../safety/cautions.js";
import { STATEMENT } from "../safety/statement.js";
import { annunciation } from "./alarms/annunciator.js";
import { createAlarmDesk } from "./alarms/desk.js";
import { defineAlarms } from "./alarms/entry.js";
import { readStartOptions, START_HELP } from "./arguments.js";
import { createChannelBoard } from "./channels/board.js";
import { createSystemClock } from "./clock.js";
import { trendText } from "./conditions/coolant-trend.js";
import { createDeriver } from "./conditions/deriver.js";
import { createRecentLine } from "./conditions/recent-line.js";
import { loadConfig } from "./config-file.js";
import { AppError } from "./errors.js";
import { journalFolder } from "./journal/folder.js";
import { openJournal } from "./journal/journal.js";
import { openReader } from "./journal/reader.js";
import { createLine } from "./line.js";
import { createLog } from "./log.js";
import type { AlarmTransition } from "./model/alarm.js";
import { settingsSince } from "./setting-changes.js";
import { createSituation } from "./situation.js";
import { createDigitalOutput } from "./sources/digital-input/output.js";
import { createSource } from "./sources/drivers.js";
import { createOptics, lastOpticsCleaning } from "./trials/optics.js";
import { closeInterrupted } from "./trials/recover.js";
import { REPLAY_LEAD_MS } from "./trials/replay.js";
import { createRunDesk } from "./trials/run-desk.js";
import { createRunRecord, lastJobSheet } from "./trials/run-record.js";
import { createApp } from "./web/app.js";
import { listen } from "./web/listen.js";
import { createLive } from "./web/live.js";
import { createSnapshots } from "./web/snapshots.js";

const VERSION = "0.1.0";
/** How often time alone is given a chance to change something. */
const TICK_MS = 500;
/** How long the end of an open run may take to reach the disk when the station is told to stop. */
const RUN_END_MS = 5_000;
const PAGES = fileURLToPath(new URL("../ui", import.meta.url));

async function main(): Promise<void> {
  const options = readStartOptions(process.argv.slice(2), process.env);
  if (options.help) {
    process.stdout.write(START_HELP);
    return;
  }
  const log = createLog(
    (line) => process.stdout.write(line),
    () => new Date(),
  );
  const { config, file } = await loadConfig(options.config);
  const { channels, coolant_range: coolantRange } = config;
  const alarmDefinitions = defineAlarms(config.alarms, { channels, coolantRange });
  const simulatedSources = new Set(
    config.sources.filter(({ driver }) => driver === "bench-simulator").map(({ id }) => id),
  );
  const simulated = simulatedSources.size > 0;
  const clock = createSystemClock();
  const start = randomUUID();
  const keepFailed = (error: unknown) =>
    log("error", "something could not be kept", { error: String(error) });

  // The journal first: what it holds decides where the station takes up again.
  const folder = journalFolder(options.journal, config.journal.folder, simulated);
  const session = {
    start,
    bootId: clock.bootId,
    at: clock.now(),
    clock: clock.state(),
    version: VERSION,
    simulated,
    configHash: createHash("sha256").update(JSON.stringify(config)).digest("hex"),
  };
  const journal = await openJournal({
    folder,
    session,
    onHealth: ({ writing, text }) => log(writing ? "info" : "error", text),
  });
  const reader = await openReader({ folder });
  await journal.channelsDefined(channels);
  const stampRules = { definitions: channels, coolantRange, minGoodShare: config.runs.min_good_share };
  const lastCleanedWall = await lastOpticsCleaning(journal);
  for (const run of await journal.openRuns()) {
    const closed = await closeInterrupted(run, reader, stampRules, clock, lastCleanedWall);
    await journal.runEnded(closed);
    log("warn", "a run that was open when the station broke off has been closed", {
      run: closed.number,
      why: closed.endCause,
    });
  }
  for (const change of await settingsSince(journal, config, clock.now()))
    await journal.settingChanged(change);

  // What stands along the line.
  const board = createChannelBoard(channels);
  const deriver = createDeriver({ definitions: channels, coolantRange });
  const coolantLine = createRecentLine({ bucketMs: 5_000, spanMs: 600_000 });
  const coolantChannel = channels.find(({ kind }) => kind === "coolant-inlet")?.id ?? null;

  // A restart must not cost the trend its ten minutes: what this boot has already read is taken up again.
  const { mono } = clock.now();
  const recent = { bootId: clock.bootId, fromMono: mono - REPLAY_LEAD_MS, toMono: mono };
  for (const reading of await reader.readingsForReplay(recent)) {
    deriver.take(reading);
    if (reading.channel === coolantChannel) coolantLine.take(reading);
  }

  const alarms = createAlarmDesk(alarmDefinitions, { startId: start });
  alarms.restore(await journal.lastAlarmStates());
  const pin =
    config.output_pin === undefined
      ? null
      : createDigitalOutput(config.output_pin, { sysRoot: options.sysRoot });
  const annunciate = () => annunciation(alarms, pin);

  const optics = createOptics({
    clock,
    lastCleanedWall,
    keep: (done) => journal.maintenance(done),
    changed: () => live.changed(),
  });
  const runs = createRunDesk({
    clock,
    rules: stampRules,
    joinGapMs: config.runs.join_gap_s * 1000,
    store: journal,
    before: () => ({
      latest: (channel) => board.latest(channel),
      derived: deriver.current(),
      extraction: deriver.extraction().state,
    }),
    opticsHours: (now) => optics.hoursAt(now),
    simulated,
    lastNumber: (await reader.runs({ limit: 1 })).runs[0]?.number ?? 0,
    jobSheet: await lastJobSheet(journal),
    failed: keepFailed,
  });

  const situation = createSituation({
    definitions: channels,
    coolantRange,
    alarmDefinitions,
    leastFlow: config.alarms.flow_low_l_min ?? null,
    latest: (channel) => board.latest(channel),
    deriver,
    runs,
    standing: () => alarms.standing(),
    opticsHours: (now) => optics.hoursAt(now),
    journal: () => journal.health(),
  });
  const announce = (transitions: readonly AlarmTransition[]) => {
    annunciate();
    live.alarmsChanged();
    for (const transition of transitions) {
      log(
        transition.transition === "raised" ? "warn" : "info",
        `alarm ${transition.transition}: ${transition.detail}`,
        {
          alarm: transition.alarm,
        },
      );
      journal.alarmTransition(transition).catch(keepFailed);
    }
  };
  const acknowledge = async (alarm: string, by: string) => {
    const transition = alarms.acknowledge(alarm, by, clock.now(), runs.current()?.id ?? null);
    annunciate();
    live.alarmsChanged();
    live.changed();
    await journal.alarmTransition(transition);
  };

  const sources = config.sources.map((entry) => createSource(entry, { clock, sysRoot: options.sysRoot }));
  const line = createLine({
    board,
    deriver,
    journal,
    coolantLine,
    coolantChannel,
    runs,
    alarms,
    picture: (now) => situation.picture(now),
    alarmsChanged: announce,
    changed: () => live.changed(),
  });

  // What people look at.
  const snapshot = createSnapshots({
    start,
    stationName: config.station.name,
    simulatedSources,
    clock,
    definitions: channels,
    latest: (channel) => board.latest(channel),
    coolant: { channel: coolantChannel, ...coolantRange },
    deriver,
    trendText: (trend) => trendText(trend, coolantRange),
    coolantLine,
    readiness: () => situation.readiness(),
    sources: () => sources.map((source) => source.status()),
    runs,
    opticsCleanedWall: () => optics.cleanedWall(),
    standing: () => alarms.standing(),
    annunciation: annunciate,
    cautions: (now) => situation.cautions(now),
    journal: () => journal.health(),
  });
  const record = createRunRecord({
    clock,
    desk: runs,
    journal,
    reader,
    channels: new Set(channels.map(({ id }) => id)),
    changed: () => line.look(clock.now()),
  });
  const app = createApp(
    {
      now: {
        snapshot: () => snapshot(true),
        series: (query) => reader.series(query),
        opticsCleaned: () => optics.cleaned(),
      },
      runs: record,
      alarms: {
        standing: () => alarms.standing(),
        definitions: () => alarmDefinitions,
        log: (query) => reader.alarmLog(query),
        acknowledge,
      },
      cautions: { cautions: Object.values(CAUTIONS), statement: STATEMENT },
    },
    PAGES,
    log,
  );
  const server = createServer(app);
  const live = createLive(server, {
    snapshot,
    alarmMessage: (id) => ({ id, alarms: alarms.standing(), annunciation: annunciate() }),
    acknowledge,
    log,
  });

  // Running, in the order in which it can be looked at; stopped the other way round.
  await listen(server, options.host ?? config.web.host, options.port ?? config.web.port);
  for (const source of sources)
    source.start({ reading: (raw) => line.reading(raw), status: () => live.changed() });
  const ticking = setInterval(() => {
    line.tick(clock.now());
    // A pin that could not be set is tried again here.
    annunciate();
  }, TICK_MS);
  const { address, port } = server.address() as AddressInfo;
  log("info", simulated ? "the SIMULATED bench is running" : "the station is running", {
    url: `http://${address.includes(":") ? `[${address}]` : address}:${port}`,
    config: file,
    journal: folder,
  });

  let stopping = false;
  const stop = async (signal: string) => {
    // Whoever asks twice does not want to wait for the disk.
    if (stopping) process.exit(1);
    stopping = true;
    log("info", "stopping", { signal });
    clearInterval(ticking);
    await Promise.all(sources.map((source) => source.stop()));
    await Promise.race([runs.shutDown(), pause(RUN_END_MS, undefined, { ref: false })]);
    await live.close();
    await reader.close();
    await journal.close();
    pin?.close();
    clock.stop();
    log("info", "stopped");
    process.exit(0);
  };
  for (const signal of ["SIGINT", "SIGTERM"] as const) process.on(signal, () => void stop(signal));
}

main().catch((error: unknown) => {
  const known = error instanceof AppError;
  process.stderr.write(
    `${known ? `${error.title}.\n${error.message}` : error instanceof Error ? error.stack : String(error)}\n`,
  );
  process.exit(1);
});
