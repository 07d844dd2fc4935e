import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import type { Clock } from "../../model/instant.js";
import { UNITS } from "../../model/quantity.js";
import type { Reason } from "../../model/reading.js";
import type { Finding, Source } from "../../model/source.js";
import { errnoOf, reasonOfErrno, textOf } from "../errno.js";
import { createPolledSource, type PointResult } from "../polled-source.js";
import { type ReadText, readSysText } from "../sys-text.js";
import type { KernelSensorEntry } from "./entry.js";
import { locate } from "./locate.js";
import { filesOf, type PointPlan, planPoints, possiblePoints, resolvePoint } from "./parse.js";

export interface KernelSensorDeps {
  readonly clock: Clock;
  readonly sysRoot: string;
  readonly readText?: ReadText;
  /** Milliseconds between two tries; default 50. */
  readonly pauseMs?: number;
  /** How long a round may take; default 10 s. */
  readonly limitMs?: number;
}

const TRIES = 3;
/** Errors of one transfer on the bus, which the next may not have. */
const PASSING = new Set(["EIO", "ETIMEDOUT", "ENXIO", "EAGAIN", "EREMOTEIO", "EPROTO"]);

interface Found {
  readonly folder: string;
  readonly plans: readonly PointPlan[];
}

/** A sensor behind a kernel driver. Points: `temperature` (°C), `humidity` (% RH), `fan` (1/min), `pressure` (Pa). */
export function createKernelSensor(entry: KernelSensorEntry, deps: KernelSensorDeps): Source {
  const { clock, sysRoot, readText = readSysText, pauseMs = 50, limitMs = 10_000 } = deps;
  let found: Found | null = null;
  let seen: readonly string[] | null = null;
  let stopped = false;

  const points = () => entry.points ?? seen ?? possiblePoints(entry.subsystem);
  const allBad = (fault: Reason, detail: string): PointResult[] =>
    points().map((point) => ({ point, fault, detail }));

  const find = async (): Promise<Found | string> => {
    const located = await locate(entry, sysRoot, readText);
    if (located.folder === null) return located.detail;
    const plans = planPoints(entry.subsystem, located.files).filter(
      ({ point }) => entry.points === undefined || entry.points.includes(point),
    );
    return { folder: located.folder, plans };
  };

  const readPoint = async ({ folder }: Found, plan: PointPlan): Promise<PointResult> => {
    const { point, unit } = plan;
    for (let attempt = 1; ; attempt += 1) {
      let failed: { fault: Reason; detail: string };
      try {
        const texts = new Map<string, string>();
        for (const file of filesOf(plan)) texts.set(file, await readText(join(folder, file)));
        const parsed = resolvePoint(plan, texts);
        if ("value" in parsed) return { point, value: parsed.value, unit };
        failed = parsed;
      } catch (error) {
        const code = errnoOf(error);
        if (!PASSING.has(code)) throw error;
        failed = { fault: code === "ETIMEDOUT" ? "timed-out" : "read-error", detail: textOf(error) };
      }
      if (attempt === TRIES || stopped) return { point, ...failed };
      await pause(pauseMs);
    }
  };

  const round = async (): Promise<readonly PointResult[]> => {
    if (found === null) {
      const now = await find();
      if (typeof now === "string") return allBad("missing", now);
      found = now;
      seen = now.plans.map(({ point }) => point);
    }
    const results: PointResult[] = [];
    const here = found;
    try {
      for (const plan of here.plans) results.push(await readPoint(here, plan));
    } catch (error) {
      // The number may have changed with a rebinding, so the next round looks for the name again.
      found = null;
      return allBad(reasonOfErrno(error), textOf(error));
    }
    for (const point of points()) {
      if (here.plans.some((plan) => plan.point === point)) continue;
      results.push({ point, fault: "missing", detail: `${entry.name} has no ${point}` });
    }
    if (results.length === 0)
      return allBad("missing", `${entry.name} has none of the points that are read here`);
    return results;
  };

  return createPolledSource({
    id: entry.id,
    driver: entry.driver,
    clock,
    everyMs: entry.every_s * 1000,
    limitMs,
    round,
    points,
    begin: () => {
      stopped = false;
    },
    halt: () => {
      stopped = true;
    },
    check: async () => [await checkSensor()],
  });

  async function checkSensor(): Promise<Finding> {
    const subject = `${entry.id} (${entry.subsystem} ${entry.name})`;
    try {
      const now = await find();
      if (typeof now === "string") return { subject, ok: false, found: now, mend: mendMissing(entry) };
      const results: PointResult[] = [];
      for (const plan of now.plans) results.push(await readPoint(now, plan));
      const wanted = entry.points ?? [];
      const lacking = wanted.filter((point) => !now.plans.some((plan) => plan.point === point));
      const failed = results.find((result) => "fault" in result);
      const told = results.map((result) =>
        "fault" in result
          ? `${result.point}: ${result.detail ?? result.fault}`
          : `${result.point} ${Number(result.value.toFixed(3))} ${UNITS[result.unit].label}`,
      );
      if (lacking.length > 0) told.push(`no ${lacking.join(", no ")}`);
      const ok = failed === undefined && lacking.length === 0 && results.length > 0;
      const found = told.length === 0 ? "it has none of the points that are read here" : told.join("; ");
      return {
        subject,
        ok,
        found,
        mend: ok ? "" : "check its wiring and supply, and points in station.yaml",
      };
    } catch (error) {
      const mend =
        errnoOf(error) === "EACCES"
          ? "let the station's user read it: groups i2c and gpio"
          : mendMissing(entry);
      return { subject, ok: false, found: textOf(error), mend };
    }
  }
}

function mendMissing(entry: KernelSensorEntry): string {
  return entry.subsystem === "hwmon"
    ? `load the sensor's overlay in /boot/firmware/config.txt (for example dtoverlay=i2c-sensor,${entry.name}) and restart; check SDA, SCL and 3.3 V`
    : `load the sensor's overlay in /boot/firmware/config.txt (dtoverlay=i2c-sensor,… or dtoverlay=dht11,gpiopin=…) and restart; check its wires`;
}
