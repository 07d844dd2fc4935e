import { randomUUID } from "node:crypto";
import { fileURLToPath } from "node:url";
import { CHECKLISTS } from "../safety/checklists.js";
import { smoulders } from "../safety/smoulder.js";
import { createAlarms } from "./alarms/alarms.js";
import { defineAlarms } from "./alarms/entry.js";
import { FILTER_FINAL_PA } from "./alarms/process-definitions.js";
import { readStartOptions, START_HELP } from "./arguments.js";
import { logBoardRestarts } from "./board-restarts.js";
import { createAfterCutDesk } from "./cautions/after-cut-desk.js";
import { acknowledgeLooks, recallAfterCut } from "./cautions/after-cut-recall.js";
import { CHECKLIST_DEED, createCheckListDesk } from "./cautions/checklist-desk.js";
import { localDay } from "./cautions/local-day.js";
import { createChannelBoard } from "./channels/board.js";
import { createSystemClock } from "./clock.js";
import { followClock } from "./clock-follow.js";
import { closeInOrder } from "./closing.js";
import { createDeriver } from "./conditions/deriver.js";
import { createOutlook } from "./conditions/outlook.js";
import { leastMargin } from "./conditions/readiness.js";
import { createRecentLine } from "./conditions/recent-line.js";
import { trendText } from "./conditions/trend-text.js";
import { DEFAULT_FILE, loadConfig } from "./config-file.js";
import { AppError } from "./errors.js";
import { createFilterWatch } from "./filter-watch.js";
import { createBackups } from "./journal/backup/schedule.js";
import { createDownloads } from "./journal/exchange/downloads.js";
import { journalFolder } from "./journal/folder.js";
import { openKeeping } from "./keeping.js";
import { createLine } from "./line.js";
import { createLog } from "./log.js";
import type { SourceSink } from "./model/source.js";
import { momentInWords, timeOfDay } from "./outward/local-time.js";
import { createOutward } from "./outward/outward.js";
import { createSystemdNotifier, isWell } from "./outward/systemd.js";
import { NOTHING_RECALLED, takeUpAgain } from "./recall.js";
import { createRetention } from "./retention.js";
import { servicesOf } from "./services.js";
import { createSetup } from "./setup/setup.js";
import { createSituation } from "./situation.js";
import { createDelivered } from "./sources/delivered.js";
import { createDigitalOutput } from "./sources/digital-input/output.js";
import { createSource, type DriverEntry, latenessOf } from "./sources/drivers.js";
import { installedTools } from "./sources/gpio/gpiod-tools.js";
import { createOptics } from "./trials/optics.js";
import { createRunDesk } from "./trials/run-desk.js";
import { createRunRecord } from "./trials/run-record.js";
import { createTrials } from "./trials/trials.js";
import { ownVersion } from "./version.js";
import { createSite } from "./web/site.js";
import { createSnapshots } from "./web/snapshots.js";
import { readTls } from "./web/tls.js";

/** How often time alone is given a chance to change something. */
const TICK_MS = 500;
const PAGES = fileURLToPath(new URL("../ui", import.meta.url));

async function main(): Promise<void> {
  const options = readStartOptions(process.argv.slice(2), process.env);
  if (options.help) {
    process.stdout.write(START_HELP);
    return;
  }
  // What the station writes is for the user it runs as: readings, and who may sign in.
  process.umask(0o077);
  // Whoever read the log may have gone: that is no reason to stop.
  for (const stream of [process.stdout, process.stderr]) stream.on("error", () => undefined);
  const log = createLog(
    (line) => process.stdout.write(line),
    () => new Date(),
  );
  const { config, file, text } = await loadConfig(options.config);
  const { channels, coolant_range: coolantRange } = config;
  const alarmDefinitions = defineAlarms(config.alarms, {
    channels,
    coolantRange,
    backups: config.backup !== undefined,
  });
  const simulatedSources = new Set(
    config.sources.filter(({ driver }) => driver === "bench-simulator").map(({ id }) => id),
  );
  const simulated = simulatedSources.size > 0;
  const closing = closeInOrder(log);
  const clock = await createSystemClock();
  closing.add("clock", () => clock.stop());
  const start = randomUUID();
  const version = ownVersion();
  const keepFailed = (error: unknown) =>
    log("error", "something could not be kept", { error: String(error) });

  // The journal first: what it holds decides where the station takes up again. But a disk that does not let itself be
  // written to must not keep the coolant and the alarms from being watched.
  const folder = journalFolder(options.journal, config.journal.folder, simulated);
  const reserveBytes = config.journal.reserve_mb * 1e6;
  const startedAt = clock.now();
  const { journal, reader, people, disk, soundness, recalling, recalled, clockState } = await openKeeping({
    ...{ folder, reserveBytes, startedAt, config, clock, log, closing, simulated, start, version },
    alarmIds: alarmDefinitions.map(({ id }) => id),
  });
  const known = recalled ?? NOTHING_RECALLED;
  const tls = config.web.tls === undefined ? null : await readTls(config.web.tls);
  journal.channelsDefined(channels).catch(keepFailed);
  const stampRules = { definitions: channels, coolantRange, minGoodShare: config.runs.min_good_share };

  // What stands along the line.
  const board = createChannelBoard(channels);
  const deriver = createDeriver({ definitions: channels, coolantRange });
  const coolantLine = createRecentLine({ bucketMs: 5_000, spanMs: 600_000 });
  const coolantChannel = channels.find(({ kind }) => kind === "coolant-inlet")?.id ?? null;

  const outlook = createOutlook({
    definitions: channels,
    coolantRange,
    leastMarginC: () => leastMargin(alarms.definitions()),
  });

  for (const reading of known.readings) {
    outlook.take(reading, deriver.take(reading));
    if (reading.channel === coolantChannel) coolantLine.take(reading);
  }

  const pin =
    config.output_pin === undefined
      ? null
      : createDigitalOutput(config.output_pin, { sysRoot: options.sysRoot });
  closing.add("output pin", () => pin?.close());
  const alarms = createAlarms({
    fromFile: alarmDefinitions,
    startId: start,
    leastDiskMb: config.journal.reserve_mb,
    ...{ clock, pin, journal, log },
    settingChanges: (query) => reader.settingChanges(query),
    figures: (window) => reader.alarmFigures(window),
    run: () => runs.current()?.id ?? null,
    tell: () => {
      live.alarmsChanged();
      live.changed();
    },
    tellOutward: (transitions) => {
      outward.told(transitions);
      tellStates();
    },
    failed: keepFailed,
  });
  alarms.takeUp(known.alarms, known.alarmsKept, false);

  const optics = createOptics({
    clock,
    lastCleaning: known.cleaning,
    keep: (done) => journal.maintenance(done),
    changed: () => live.changed(),
  });
  const runs = createRunDesk({
    clock,
    rules: stampRules,
    joinGapMs: config.runs.join_gap_s * 1000,
    store: journal,
    opticsHours: (now) => optics.hoursAt(now),
    simulated,
    lastNumber: known.lastNumber,
    jobSheet: known.jobSheet,
    // The beam of the simulated bench knows nothing of specimens, and would cut those of a plan at moments of its own.
    beamBegins: () => !simulated || trials.desk.now() === null,
    delivered: createDelivered({
      latestMs: Math.max(...config.sources.map(latenessOf)),
      mono: () => clock.now().mono,
    }),
    changed: (run) => {
      trials.desk.runChanged(run);
      afterCut.runChanged(run);
    },
    restamped: (run) => trials.desk.runChanged(run),
    failed: keepFailed,
  });
  const trials = createTrials({
    ...{ clock, journal, reader, runs, folder, reserveBytes },
    opticsCleaned: optics.cleaned,
    changed: () => live.changed(),
    failed: keepFailed,
  });
  closing.add("pictures", () => trials.close());

  const checklists = createCheckListDesk({
    ...{ clock, runs, lists: CHECKLISTS, dayOf: localDay },
    keep: (deed) => journal.deed(deed),
    changed: () => live.changed(),
  });
  journal
    .lastDeeds({ what: [CHECKLIST_DEED], limit: 20 })
    .then(checklists.takeUp)
    .catch(keepFailed);

  const afterCut = createAfterCutDesk({
    clock,
    smoulders,
    rules: {
      runOnS: config.after_cut.run_on_s,
      lengthMin: config.after_cut.fire_watch_min,
      lookEveryMin: config.after_cut.look_every_min,
    },
    keep: (deed) => journal.deed(deed),
    looked: (by) =>
      acknowledgeLooks(
        alarms.desk.standing(),
        (alarm) => void alarms.acknowledge(alarm, by).catch(keepFailed),
      ),
    changed: () => line.look(clock.now()),
  });

  const filter = createFilterWatch({
    ...{ definitions: channels, reader, clock, failed: keepFailed },
    finalPa: () =>
      alarms.definitions().find(({ kind }) => kind === "filter-loaded")?.setpoint ?? FILTER_FINAL_PA,
    lastChanged: async () =>
      (await trials.workshop.maintenance()).last.find(({ kind }) => kind === "filter-changed")?.wall ?? null,
  });

  const backups = createBackups({
    settings: config.backup ?? null,
    journal: folder,
    reserveBytes,
    startedMono: startedAt.mono,
    clock: () => clock.state(),
    log,
  });
  closing.add("backup", () => backups.close());
  const clockFollower = followClock({
    ...{ clock, startedAt, journal, optics, runs, alarms: alarms.desk, log },
    startedState: clockState,
    renewed: () => live.renewed(),
    failed: keepFailed,
  });
  const downloads = createDownloads({ folder, reserveBytes });
  journal.ready.then(downloads.tidy).catch(keepFailed);
  const situation = createSituation({
    definitions: channels,
    coolantRange,
    alarmDefinitions: alarms.definitions,
    leastFlow: config.alarms.flow_low_l_min ?? null,
    latest: (channel) => board.latest(channel),
    deriver,
    runs,
    ...{ outlook, afterCut, filter: filter.view },
    standing: () => alarms.desk.standing(),
    suppressed: () => alarms.desk.suppressed(),
    opticsHours: (now) => optics.hoursAt(now),
    journal: () => journal.health(),
    soundness: () => soundness.view(),
    disk: () => disk.view(),
    backups: () => backups.state(),
    clockState: () => clock.state(),
  });
  const outward = createOutward({
    ...{ entry: config.outward, definitions: alarms.definitions, station: config.station.name, simulated },
    ...{ clock, start, keep: journal.notices, random: Math.random, timeOfDay, when: momentInWords },
    ...{ failed: keepFailed, log },
  });
  closing.add("outward", () => outward.close());
  const systemd = createSystemdNotifier(options.systemd, log);
  const tellStates = () => outward.states(alarms.desk.standing(), alarms.desk.suppressed());
  const create = (entry: DriverEntry) => createSource(entry, { clock, sysRoot: options.sysRoot });
  const sources = config.sources.map(create);
  const setup = createSetup({
    ...{ clock, create, simulated, text, running: config, file: file ?? DEFAULT_FILE },
    ...{ sysRoot: options.sysRoot, byIdFolder: options.serialRoot, tools: installedTools() },
    byItself: options.invocation !== null,
    restart: () => closing.restart(),
    busy: () => runs.current() !== null,
  });
  closing.add("setup", () => setup.close());
  const line = createLine({
    board,
    deriver,
    journal,
    coolantLine,
    coolantChannel,
    outlook,
    runs,
    alarms: alarms.desk,
    picture: (now) => situation.picture(now),
    alarmsChanged: alarms.announce,
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
    outlook: (now) => outlook.view(now.mono),
    afterCut: () => afterCut.view(),
    readiness: () => situation.readiness(),
    sources: () => sources.map((source) => source.status()),
    runs,
    trial: () => trials.desk.now(),
    optics: () => optics.view(),
    filter: filter.view,
    ahead: () => clockFollower.ahead(),
    standing: () => alarms.desk.standing(),
    suppressed: () => alarms.desk.suppressed(),
    annunciation: alarms.annunciation,
    cautions: (now) => situation.cautions(now),
    checklists: () => checklists.now(),
    journal: () => journal.health(),
    disk: () => disk.view(),
    doubt: () => soundness.view().doubt,
  });
  const record = createRunRecord({
    clock,
    desk: runs,
    journal,
    reader,
    channels: new Set(channels.map(({ id }) => id)),
    failed: keepFailed,
    changed: () => line.look(clock.now()),
    corrected: (run) => trials.desk.corrected(run),
  });
  const retention = createRetention({
    days: config.journal.keep_full_resolution_days ?? null,
    ...{ clock, journal, reader, log },
    sound: () => soundness.view().doubt === null,
  });
  const { live, open, close } = createSite({
    web: { ...config.web, host: options.host ?? config.web.host, port: options.port ?? config.web.port },
    stationName: config.station.name,
    ...{ store: people, tls, pages: PAGES, clock, log },
    tell: (deed) => void journal.deed({ ...deed, at: clock.now() }).catch(keepFailed),
    deeds: (query) => reader.deeds(query),
    services: servicesOf({
      ...{ version, startedAt, folder, coolantRange, channels, clock, snapshot },
      ...{ journal, reader, disk, soundness, backups, downloads, clockFollower },
      ...{ alarms, outward, optics, outlook, afterCut, checklists, record, trials, setup },
    }),
    live: {
      snapshot,
      alarmMessage: (id) => ({
        ...{ id, alarms: alarms.desk.standing(), suppressed: alarms.desk.suppressed() },
        annunciation: alarms.annunciation(),
      }),
      acknowledge: alarms.acknowledge,
    },
  });

  // Running, in the order in which it can be looked at; stopped the other way round.
  const { address, port } = await open();
  closing.add("pages", () => close());
  // A run that a fault cuts short is closed at the next start, as one that the station broke off in.
  closing.add("open run", (cause) => (cause === "told" ? runs.shutDown() : undefined));
  closing.add("sources", () => Promise.all(sources.map((source) => source.stop())));
  line.begin(clock.now());
  const logRestart = logBoardRestarts(log);
  const sink: SourceSink = {
    reading: (raw) => {
      line.reading(raw);
      setup.heard(raw);
    },
    status: (status) => {
      logRestart(status);
      live.changed();
    },
  };
  for (const source of sources) source.start(sink);
  const ticking = setInterval(() => {
    clockFollower.look(clock.now());
    line.tick(clock.now());
    backups.tick(clock.now());
    disk.tick(clock.now().mono);
    soundness.tick(clock.now());
    retention.tick(clock.now());
    filter.tick(clock.now());
    const well = isWell(journal.silentMs());
    outward.tick(clock.now(), well);
    systemd.tick(clock.now().mono, well);
    // A pin that could not be set is tried again here.
    alarms.annunciation();
  }, TICK_MS);
  closing.add("tick", () => clearInterval(ticking));
  closing.add("word to systemd", () => systemd.stopping());
  log("info", simulated ? "the SIMULATED bench is running" : "the station is running", {
    url: `http://${address.includes(":") ? `[${address}]` : address}:${port}`,
    config: file,
    journal: folder,
  });
  tellStates();
  outward.started();
  systemd.ready();

  recalling
    .then(async (late) => {
      if (recalled === null) {
        optics.takeUp(late.cleaning);
        runs.takeUp(late);
        alarms.takeUp(late.alarms, late.alarmsKept, true);
        alarms.announce([]);
      }
      journal
        .notices("noticesLeft", null)
        .then((left) => outward.takeUp(left, late.alarms))
        .catch(keepFailed);
      // Neither waits for the other: whoever stands at the machine wants to see what is next.
      trials.desk.takeUp().catch(keepFailed);
      recallAfterCut({ journal, reader, desk: afterCut }).catch(keepFailed);
      // What is closed now is stamped for good, and old readings go for good.
      await soundness.first;
      await takeUpAgain({
        ...{ journal, reader, config, clock, startedAt, log },
        rules: stampRules,
        hasBegun: runs.hasBegun,
        lastCleaning: () => optics.lastCleaning(),
      });
      retention.begin();
    })
    .catch(keepFailed);
}

main().catch((error: unknown) => {
  const known = error instanceof AppError;
  process.stderr.write(
    `${known ? `${error.title}.\n${error.message}` : error instanceof Error ? error.stack : String(error)}\n`,
  );
  process.exit(1);
});
