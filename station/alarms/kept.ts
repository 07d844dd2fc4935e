import type { KeptAlarmSetting, KeptShelf } from "../model/alarm-setting.js";
import type { TakenUp } from "./take-up.js";

/** Under which the journal keeps what people have set of an alarm. */
export function alarmSubject(alarm: string): string {
  return `alarm:${alarm}`;
}
/** How the owner has set it; its shelf; and that it is out of service. */
export const SETTING_PATH = "setting";
export const SHELF_PATH = "shelf";
export const SERVICE_PATH = "service";

/** What there is to know of the alarms after a restart, beside their states. */
export interface RecalledAlarms {
  readonly settings: ReadonlyMap<string, KeptAlarmSetting>;
  readonly takenUp: ReadonlyMap<string, TakenUp>;
  /** Shelves as they go on from here. */
  readonly shelves: ReadonlyMap<string, KeptShelf>;
}

export const NO_ALARMS_RECALLED: RecalledAlarms = {
  settings: new Map(),
  takenUp: new Map(),
  shelves: new Map(),
};
