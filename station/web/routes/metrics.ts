import type { RequestHandler } from "express";
import type { JournalHealth } from "../../journal/health.js";
import type { AlarmDefinition } from "../../model/alarm.js";
import type { DiskView } from "../../model/disk.js";
import type { NowSnapshot } from "../../model/now.js";
import { metricsText } from "../metrics.js";
import { OPENMETRICS_TYPE } from "../openmetrics.js";

export interface MetricsService {
  readonly version: string;
  /** Wall milliseconds of this start of the station, as far as is known now. */
  startedWall(): number;
  alarms(): readonly AlarmDefinition[];
  snapshot(): NowSnapshot;
  journal(): JournalHealth;
  disk(): DiskView;
  lastBackupWall(): number | null;
}

/** @param secretsHashed how many passphrases and PINs were reckoned with since the start */
export function metricsRoute(service: MetricsService, secretsHashed: () => number): RequestHandler {
  return (_request, response) => {
    const { version } = service;
    const text = metricsText({
      version,
      startedWall: service.startedWall(),
      alarms: service.alarms(),
      now: service.snapshot(),
      journal: service.journal(),
      disk: service.disk(),
      lastBackupWall: service.lastBackupWall(),
      secretsHashed: secretsHashed(),
    });
    // Express would put the parameters of the type in an order of its own.
    response.setHeader("Content-Type", OPENMETRICS_TYPE);
    response.setHeader("Cache-Control", "no-store");
    response.end(text);
  };
}
