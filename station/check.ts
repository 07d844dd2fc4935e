import { checkAccess } from "./access/finding.js";
import { DISK_FILLING_DAYS } from "./alarms/definitions.js";
import { createSystemClock } from "./clock.js";
import type { StationConfig } from "./config.js";
import { loadConfig } from "./config-file.js";
import { checkBackups } from "./journal/backup/finding.js";
import { expectedBytesADay } from "./journal/disk/growth.js";
import { checkJournalFolder, journalFolder } from "./journal/folder.js";
import { CHANNEL_KINDS, type ChannelKind } from "./model/quantity.js";
import type { Finding } from "./model/source.js";
import { checkOutward } from "./outward/finding.js";
import { checkRetention } from "./retention-finding.js";
import { createDigitalOutput } from "./sources/digital-input/output.js";
import { createSource } from "./sources/drivers.js";
import { print, type Verb } from "./verb.js";
import { checkTls } from "./web/tls.js";

export interface CheckReport {
  readonly ok: boolean;
  /** Null: no station.yaml, so the simulated bench. */
  readonly config: string | null;
  readonly findings: readonly Finding[];
}

/** What the station cannot do without, and what for. */
const WANTED: readonly { readonly kinds: readonly ChannelKind[]; readonly use: string }[] = [
  { kinds: ["coolant-inlet"], use: "no run can be stamped with its coolant, and nothing says fit to cut" },
  {
    kinds: ["extraction-running", "extraction-airflow", "extraction-pressure", "extraction-speed"],
    use: "nothing notices when the extraction stops",
  },
  { kinds: ["room-temperature"], use: "the dew point is not known" },
  { kinds: ["room-humidity"], use: "the dew point is not known" },
];

/** Looks at the configuration and at all that it names, without starting anything. @throws AppError for a bad file */
export async function checkStation(file: string | null, sysRoot: string): Promise<CheckReport> {
  const loaded = await loadConfig(file);
  const clock = await createSystemClock();
  try {
    const sources = loaded.config.sources.map((entry) => createSource(entry, { clock, sysRoot }));
    const found = await Promise.all(sources.map((source) => source.check()));
    const { output_pin: pinEntry, journal } = loaded.config;
    const pin = pinEntry === undefined ? [] : [await createDigitalOutput(pinEntry, { sysRoot }).check()];
    const simulated = loaded.config.sources.some(({ driver }) => driver === "bench-simulator");
    const { alarms, channels } = loaded.config;
    const place = journalFolder(null, journal.folder, simulated);
    const folder = await checkJournalFolder(place, {
      expectedADay: expectedBytesADay(channels.map(({ expectedEveryS }) => expectedEveryS)),
      reserveBytes: journal.reserve_mb * 1e6,
      leastDays: alarms.disk_filling_days ?? DISK_FILLING_DAYS,
    });
    const retention = await checkRetention({
      days: journal.keep_full_resolution_days ?? null,
      folder: place,
      now: clock.now().wall,
      clock: clock.state(),
    });
    const backups = await checkBackups(loaded.config.backup?.folder ?? null, clock.now().wall);
    const { web } = loaded.config;
    const access = await checkAccess({ folder: place, host: web.host, config: loaded.file });
    const tls = web.tls === undefined ? [] : [await checkTls(web.tls, clock.now().wall)];
    const findings = [
      ...found.flat(),
      ...channelFindings(loaded.config),
      ...pin,
      folder,
      retention,
      backups,
      ...(await checkOutward(loaded.config.outward)),
      ...access,
      ...tls,
    ];
    return { ok: findings.every((finding) => finding.ok), config: loaded.file, findings };
  } finally {
    clock.stop();
  }
}

function channelFindings(config: StationConfig): Finding[] {
  return WANTED.map(({ kinds, use }) => {
    const channel = config.channels.find(({ kind }) => kinds.includes(kind));
    const names = kinds.map((kind) => CHANNEL_KINDS[kind].label).join(", or ");
    return channel === undefined
      ? {
          subject: names,
          ok: false,
          found: `no channel of this kind: ${use}`,
          mend: `add a channel with kind: ${kinds.join(", or ")}`,
        }
      : { subject: names, ok: true, found: `read as "${channel.name}" from ${channel.source}`, mend: "" };
  });
}

/** The report for people. */
export function wordsOf(report: CheckReport): string {
  const head =
    report.config === null
      ? "No station.yaml: this is the simulated bench, and nothing here is measured.\n"
      : `Configuration: ${report.config}\n`;
  const rows = report.findings.map(({ subject, ok, found, mend }) => {
    const line = `${ok ? "  ok  " : "  !!  "}${subject}: ${found}`;
    return mend === "" ? line : `${line}\n        To mend it: ${mend}`;
  });
  const wrong = report.findings.filter(({ ok }) => !ok).length;
  const tail = wrong === 0 ? "All is well." : `${wrong} of ${report.findings.length} want mending.`;
  return `${head}${rows.join("\n")}\n${tail}\n`;
}

export const checkVerb: Verb = {
  help: `  check            what is wired, what is missing, and how to mend it
    --sys-root PATH  where the kernel shows its devices (default STATION_SYS_ROOT, else /sys)
`,
  options: { config: { type: "string" }, "sys-root": { type: "string" } },
  operands: 0,
  async run(call) {
    const report = await checkStation(
      call.text("config"),
      call.text("sys-root") ?? call.variable("STATION_SYS_ROOT") ?? "/sys",
    );
    print(call.json ? `${JSON.stringify(report)}\n` : wordsOf(report));
    return report.ok ? 0 : 1;
  },
};
