import { setTimeout as pause } from "node:timers/promises";
import { loadConfig } from "./config-file.js";
import { AppError } from "./errors.js";
import type { NowSnapshot } from "./model/now.js";
import { type Occupation, occupationOf } from "./occupation.js";
import { Misuse, print, type Verb, type VerbCall } from "./verb.js";
import { ownVersion } from "./version.js";

const ASKED_EVERY_MS = 500;
/** A station with all threads at work answers later than this only where something is wrong. */
const ANSWER_MS = 10_000;
/** As the metrics have it: OpenMetrics' info family. */
const VERSION_LABEL = /^station_info\{[^}]*\bversion="([^"]*)"/m;

interface Status {
  /** It answers, is of this program's version as far as it says, and its journal is written. */
  readonly ok: boolean;
  readonly url: string;
  /** Null where it does not answer, or does not say. */
  readonly version: string | null;
  /** Id of this start of the station; null as above. */
  readonly start: string | null;
  /** Null where it may not be known, as behind a proxy. */
  readonly occupation: Occupation | null;
  /** One plain sentence. */
  readonly text: string;
}

const NOT_KNOWN = { version: null, start: null, occupation: null } as const;

async function ask(url: string, path: string): Promise<Response> {
  return fetch(`${url}${path}`, { signal: AbortSignal.timeout(ANSWER_MS), redirect: "error" });
}

/** Asks a running station at its own door. Never throws for what the station does or does not say. */
async function look(url: string, own: string): Promise<Status> {
  try {
    const me = await ask(url, "/api/access/me");
    if (!me.ok)
      return { ok: false, url, ...NOT_KNOWN, text: `What answers at ${url} is no station (${me.status}).` };
    const [metrics, now] = await Promise.all([ask(url, "/metrics"), ask(url, "/api/now")]);
    if (metrics.status === 401 || now.status === 401) {
      return {
        ok: true,
        url,
        ...NOT_KNOWN,
        text: "It answers; behind a proxy it says no more to whoever has not signed in.",
      };
    }
    const version = VERSION_LABEL.exec(await metrics.text())?.[1] ?? null;
    const snapshot = (await now.json()) as NowSnapshot;
    const { start, journal } = snapshot;
    const known = { url, version, start, occupation: occupationOf(snapshot) };
    if (version !== own) return { ok: false, ...known, text: `Version ${version} answers, not ${own}.` };
    if (!journal.writing) return { ok: false, ...known, text: `It answers, but: ${journal.text}` };
    return { ok: true, ...known, text: `Version ${version} answers, and keeps its journal.` };
  } catch (error) {
    const why =
      error instanceof Error
        ? error.cause instanceof Error
          ? error.cause.message
          : error.message
        : String(error);
    return { ok: false, url, ...NOT_KNOWN, text: `Nothing answers at ${url} (${why}).` };
  }
}

/** Well from a moment within `withinS` on, for `steadyS` without a break and without another start. */
async function waitFor(url: string, own: string, withinS: number, steadyS: number): Promise<Status> {
  const begun = performance.now();
  let since: number | null = null;
  let start: string | null = null;
  for (;;) {
    const status = await look(url, own);
    const now = performance.now();
    // Whoever has ended once while it was looked at does so again, and would never be steady.
    if (start !== null && status.start !== null && status.start !== start) {
      return { ...status, ok: false, text: "It does not stay up: it has ended, and begun anew." };
    }
    if (status.ok) start ??= status.start;
    since = status.ok ? (since ?? now) : null;
    if (since !== null && now - since >= steadyS * 1000) return status;
    // Time that it has been well for is not taken from it.
    if ((since ?? now) - begun >= withinS * 1000 && (since === null || withinS > 0)) {
      return since === null
        ? status
        : { ...status, ok: false, text: `It is not well for long: ${status.text}` };
    }
    await pause(ASKED_EVERY_MS);
  }
}

async function urlOfCall(call: VerbCall): Promise<string> {
  const { web } = (await loadConfig(call.text("config"))).config;
  if (web.port === 0) {
    throw new AppError(
      "request-invalid",
      "With web.port: 0 nobody knows where the station listens: give it a port.",
    );
  }
  const own = web.host === "::1" ? "[::1]" : web.host === "localhost" ? "localhost" : "127.0.0.1";
  return `http://${own}:${web.port}`;
}

function seconds(call: VerbCall, option: string): number {
  const text = call.text(option) ?? "0";
  if (!/^\d{1,4}$/.test(text)) throw new Misuse(`--${option}: found "${text}"; expected whole seconds`);
  return Number(text);
}

export const statusVerb: Verb = {
  help: `  status           whether the station of this configuration runs, is of this version and keeps its journal
    --within SECONDS waits for it (default 0); --steady SECONDS: and for it to stay so
    --idle           whether it may be stopped: only where no run is open and the machine is known to be off
    --not-busy       the same, also where nothing tells of the machine, or no station runs
`,
  options: {
    config: { type: "string" },
    within: { type: "string" },
    steady: { type: "string" },
    idle: { type: "boolean" },
    "not-busy": { type: "boolean" },
  },
  operands: 0,
  async run(call) {
    const url = await urlOfCall(call);
    const status = await waitFor(url, ownVersion(), seconds(call, "within"), seconds(call, "steady"));
    const { occupation } = status;
    const words = `${status.text}${occupation === null ? "" : ` ${occupation.text}`}\n`;
    print(call.json ? `${JSON.stringify(status)}\n` : words);
    if (call.given("idle")) return occupation?.state === "idle" ? 0 : 1;
    if (call.given("not-busy")) return occupation?.state === "busy" ? 1 : 0;
    return status.ok ? 0 : 1;
  },
};
