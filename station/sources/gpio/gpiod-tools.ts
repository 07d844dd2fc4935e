import { type ChildProcess, execFile, spawn } from "node:child_process";
import { errnoIn, type GpiodVersion, versionIn } from "./gpiod-words.js";
import { type SurveyTool, sharedSurvey } from "./shared-survey.js";

export type ToolName = "gpiodetect" | "gpioinfo" | "gpioget" | "gpioset" | "gpiomon";

/** A tool that holds its line for as long as it runs. */
export interface RunningTool {
  /** Ends it. Its line is free when `ended` has resolved. */
  stop(): void;
  /** Why it ended; null where it was stopped. Never rejects. */
  readonly ended: Promise<Error | null>;
}

/** The command-line tools of libgpiod; a test stands something else in their place. */
export interface GpiodTools {
  /** Rejects where the tools are not there (`code` ENOENT), or say a version that is not known. */
  version(): Promise<GpiodVersion>;
  /** What a tool prints. Rejects with what it says where it fails, with the system's name of the error as `code`. */
  run(tool: ToolName, args: readonly string[]): Promise<string>;
  /** As `run`, of all chips and lines: one goes at a time, and who asks for one that has not come back shares its answer. */
  survey(tool: SurveyTool): Promise<string>;
  hold(tool: ToolName, args: readonly string[], row: (row: string) => void): RunningTool;
}

/**
 * A tool that only looks and does not come back by then hangs in the kernel. Long, since to end one for being late makes a machine
 * that has too much to do no faster: a source says by itself, and sooner, that it has no answer.
 */
const LOOK_LIMIT_MS = 20_000;
/** What was said on the error stream is kept as far as this; more is no message. */
const WORDS_LIMIT = 2000;

const failure = (tool: ToolName, words: string, code = errnoIn(words)) =>
  Object.assign(new Error(words.trim() || `${tool} ended without a word`), code === "" ? {} : { code });

/** The tools that are installed. @param path the folders where they are looked for; those of the process where not given */
export function installedTools(path?: string): GpiodTools {
  let version: Promise<GpiodVersion> | null = null;
  // Through `env`, since their words are read and so are to be the same everywhere.
  const settings = ["LC_ALL=C", ...(path === undefined ? [] : [`PATH=${path}`])];

  const run: GpiodTools["run"] = (tool, args) =>
    new Promise((resolve, reject) => {
      execFile(
        "env",
        [...settings, tool, ...args],
        { timeout: LOOK_LIMIT_MS, killSignal: "SIGKILL" },
        (error, out, words) => {
          if (error === null) resolve(out);
          else if (error.killed === true) reject(failure(tool, `${tool} did not come back`, "ETIMEDOUT"));
          else reject(failure(tool, words));
        },
      );
    });

  const askVersion = async () => {
    const told = versionIn(await run("gpiodetect", ["--version"]));
    if (told === null) throw new Error("gpiodetect says a version that is not known here");
    return told;
  };

  return {
    version() {
      version ??= askVersion().catch((error: unknown) => {
        version = null;
        throw error;
      });
      return version;
    },
    run,
    survey: sharedSurvey((tool) => run(tool, [])),
    hold: (tool, args, row) => holding(tool, ["env", ...settings, tool, ...args], row),
  };
}

/**
 * Runs a tool that keeps its line. It goes with the station however that ends: a tool left behind would hold the line, and a
 * lamp, until somebody found it. So it is started through `setpriv` of util-linux, which has the kernel end it with its parent.
 * The kernel says nothing of a parent that had ended before it was asked to: so the tool is only begun where it is still there.
 */
function holding(tool: ToolName, command: readonly string[], row: (row: string) => void): RunningTool {
  const whileThere = ["sh", "-c", '[ "$PPID" = "$0" ] && exec "$@"', `${process.pid}`];
  const child: ChildProcess = spawn("setpriv", ["--pdeathsig", "KILL", ...whileThere, ...command], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  let stopped = false;
  let words = "";
  let rest = "";
  child.stderr?.setEncoding("utf8").on("data", (text: string) => {
    words = (words + text).slice(-WORDS_LIMIT);
  });
  child.stdout?.setEncoding("utf8").on("data", (text: string) => {
    const rows = (rest + text).split("\n");
    rest = (rows.pop() ?? "").slice(-WORDS_LIMIT);
    if (!stopped) for (const each of rows) row(each);
  });
  const ended = new Promise<Error | null>((resolve) => {
    child.once("error", (error) => resolve(stopped ? null : error));
    child.once("close", (_, signal) => {
      if (stopped) resolve(null);
      else resolve(failure(tool, words || (signal === null ? "" : `${tool} was ended by ${signal}`)));
    });
  });
  return {
    stop() {
      stopped = true;
      child.kill("SIGTERM");
    },
    ended,
  };
}
