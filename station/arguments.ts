import { parseArgs } from "node:util";
import { AppError } from "./errors.js";

/** How the station is started, from the command line first and the environment second. */
export interface StartOptions {
  /** Path of station.yaml; null: `station.yaml` in the working folder if it is there, else the simulated bench. */
  readonly config: string | null;
  readonly host: string | null;
  readonly port: number | null;
  /** Folder of the journal. */
  readonly journal: string | null;
  /** Where the kernel shows its devices. */
  readonly sysRoot: string;
  /** Where the system keeps the stable names of serial boards. */
  readonly serialRoot: string;
  readonly help: boolean;
  /** Where systemd wants to be told how the service does; null where it did not start it, or does not ask. */
  readonly systemd: { readonly socket: string; readonly watchdogMs: number | null } | null;
  /** The name that systemd gave to this start of a service (systemd.exec(5)); null where it did not start it. */
  readonly invocation: string | null;
}

export const START_HELP = `Usage: npm start -- [options]

  --config FILE    the station's configuration (default: station.yaml here, else the simulated bench)
  --host ADDRESS   where to listen: 127.0.0.1 for this machine only, 0.0.0.0 for the workshop's network
  --port NUMBER    0 takes any free port (default 8080)
  --journal FOLDER where the journal is kept
  --sys-root PATH  where the kernel shows its devices (default /sys)
  --serial-root PATH  where the system keeps the stable names of serial boards (default /dev/serial/by-id)
  --help

Each can be given in the environment too: STATION_CONFIG, STATION_HOST, STATION_PORT, STATION_JOURNAL, STATION_SYS_ROOT,
STATION_SERIAL_ROOT.
`;

/** @throws AppError `request-invalid` naming the option that is not right */
export function readStartOptions(
  argv: readonly string[],
  environment: Readonly<Record<string, string | undefined>>,
): StartOptions {
  const { values } = parse(argv);
  const option = (name: "config" | "host" | "port" | "journal" | "sys-root" | "serial-root") =>
    values[name] ?? environment[`STATION_${name.toUpperCase().replace("-", "_")}`] ?? null;
  const port = option("port");
  if (port !== null && !(/^\d{1,5}$/.test(port) && Number(port) <= 65_535)) {
    throw new AppError(
      "request-invalid",
      `--port: found "${port}"; expected a whole number from 0 to 65535.`,
    );
  }
  return {
    config: option("config"),
    host: option("host"),
    port: port === null ? null : Number(port),
    journal: option("journal"),
    sysRoot: option("sys-root") ?? "/sys",
    serialRoot: option("serial-root") ?? "/dev/serial/by-id",
    help: values.help ?? false,
    systemd: systemdOf(environment),
    invocation: invocationOf(environment),
  };
}

/** sd_notify(3) and sd_watchdog_enabled(3): the watchdog's time is in microseconds. */
function systemdOf(environment: Readonly<Record<string, string | undefined>>): StartOptions["systemd"] {
  const { NOTIFY_SOCKET: socket = "", WATCHDOG_USEC: watchdog = "" } = environment;
  if (socket === "") return null;
  const watchdogMs = /^[1-9]\d{0,15}$/.test(watchdog) ? Number(watchdog) / 1000 : null;
  return { socket, watchdogMs };
}

/**
 * Everything that runs in a terminal of a desktop has INVOCATION_ID too, by inheritance; what systemd itself started is told by
 * SYSTEMD_EXEC_PID, or by the socket that a service of the type notify is given.
 */
function invocationOf(environment: Readonly<Record<string, string | undefined>>): string | null {
  const { INVOCATION_ID: id = "", SYSTEMD_EXEC_PID: pid, NOTIFY_SOCKET: socket = "" } = environment;
  return id !== "" && (socket !== "" || pid === String(process.pid)) ? id : null;
}

function parse(argv: readonly string[]) {
  try {
    return parseArgs({
      args: [...argv],
      options: {
        config: { type: "string" },
        host: { type: "string" },
        port: { type: "string" },
        journal: { type: "string" },
        "sys-root": { type: "string" },
        "serial-root": { type: "string" },
        help: { type: "boolean" },
      },
    });
  } catch (error) {
    throw new AppError(
      "request-invalid",
      `${error instanceof Error ? error.message : String(error)}\n\n${START_HELP}`,
    );
  }
}
