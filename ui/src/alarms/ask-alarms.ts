import type { AlarmDefinition, StandingAlarm, SuppressedAlarm } from "../../../station/model/alarm.js";
import type { AlarmPerformanceView } from "../../../station/model/alarm-performance.js";
import type {
  AlarmSetting,
  AlarmSettingView,
  SettingHistoryEntry,
} from "../../../station/model/alarm-setting.js";
import { call } from "../link/ask.js";
import { amend } from "../link/live.js";
import { screenName } from "../shell/screen-name.js";

interface States {
  readonly standing: StandingAlarm[];
  readonly suppressed: SuppressedAlarm[];
}
export interface AlarmsAnswer extends States {
  readonly definitions: AlarmDefinition[];
}

const of = (alarm: string, what: string) => `/alarms/${encodeURIComponent(alarm)}/${what}`;

/** Does something to an alarm, and shows what came of it without waiting for the next message. */
async function done(alarm: string, what: string, more: object = {}): Promise<void> {
  const { standing, suppressed } = await call<States>("POST", of(alarm, what), {
    body: { by: screenName(), ...more },
  });
  amend({ alarms: standing, suppressed });
}

/** What the pages ask and do about alarms, beside acknowledging. Each rejects with a `Refusal`. */
export const askAlarms = {
  all: () => call<AlarmsAnswer>("GET", "/alarms"),
  reset: (alarm: string) => done(alarm, "reset"),
  shelve: (alarm: string, minutes: number, reason: string) => done(alarm, "shelve", { minutes, reason }),
  unshelve: (alarm: string) => done(alarm, "unshelve"),
  takeOutOfService: (alarm: string, reason: string) => done(alarm, "out-of-service", { reason }),
  putInService: (alarm: string) => done(alarm, "in-service"),
  setting: (alarm: string) => call<AlarmSettingView>("GET", of(alarm, "setting")),
  set: (alarm: string, set: AlarmSetting, why: string) =>
    call<AlarmSettingView>("PUT", of(alarm, "setting"), { body: { set, why, by: screenName() } }),
  toFile: (alarm: string, why: string) =>
    call<AlarmSettingView>("DELETE", of(alarm, "setting"), { body: { why, by: screenName() } }),
  history: (alarm: string) =>
    call<{ history: SettingHistoryEntry[]; more: boolean }>("GET", `${of(alarm, "history")}?limit=100`),
  performance: (days: number) => call<AlarmPerformanceView>("GET", `/alarms/performance?days=${days}`),
};
