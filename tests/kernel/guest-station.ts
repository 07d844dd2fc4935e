import { stringify } from "yaml";
import type { AlarmState, AlarmTransition } from "../../station/model/alarm.js";
import type { LiveChannel, NowSnapshot } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import type { Guest } from "./guest.js";
import { listening, patiently, seen } from "./guest-drivers.js";

const FOLDER = "/tmp/station";
const CONFIG = `${FOLDER}/station.yaml`;
const PROGRAM = "station";

/** The built station, running in a guest as `npm start` runs it, and asked there over HTTP. */
export class GuestStation {
  private constructor(
    readonly guest: Guest,
    readonly url: string,
  ) {}

  static async start(guest: Guest, config: object): Promise<GuestStation> {
    await guest.mustRun(`mkdir -p ${FOLDER}`);
    await guest.write(CONFIG, stringify(config));
    const command = ["node", "--max-semi-space-size=1", "/project/.build/station/main.js", "--port", "0"];
    await guest.start(PROGRAM, [...command, "--journal", `${FOLDER}/journal`, "--config", CONFIG], {
      cwd: FOLDER,
      env: { MALLOC_ARENA_MAX: "2", UV_THREADPOOL_SIZE: "16" },
    });
    return new GuestStation(guest, await listening(guest, PROGRAM));
  }

  async get<T>(path: string): Promise<T> {
    const { status, text } = await this.guest.ask(`${this.url}${path}`);
    if (status !== 200) throw new Error(`${path}: ${status} ${text}`);
    return JSON.parse(text) as T;
  }

  now(): Promise<NowSnapshot> {
    return this.get<NowSnapshot>("/api/now");
  }

  /** Waits until the channel has this value. */
  sees(channel: string, value: number): Promise<LiveChannel> {
    const look = async () => (await this.now()).channels.find(({ id }) => id === channel);
    return seen(look, (live) => live.value === value, `${channel} to be ${value}`);
  }

  async alarmState(alarm: string): Promise<AlarmState> {
    return (await this.now()).alarms.find((each) => each.alarm === alarm)?.state ?? "normal";
  }

  /** Waits until the alarm waits for somebody. */
  async raised(alarm: string): Promise<void> {
    await seen(
      () => this.alarmState(alarm),
      (state) => state === "unacknowledged",
      `${alarm} to be raised`,
    );
  }

  /** Waits until the journal has it that the alarm went over to this state in this run. */
  async keeps(alarm: string, state: AlarmState, run: Run): Promise<void> {
    const look = () => this.get<{ transitions: AlarmTransition[] }>("/api/alarms/log");
    const is = (each: AlarmTransition) => each.alarm === alarm && each.to === state && each.run === run.id;
    await seen(look, ({ transitions }) => transitions.some(is), `${alarm} in the journal`);
  }

  /** Waits until the alarm's condition has gone, acknowledges it, and waits until nothing of it is left. */
  async returned(alarm: string): Promise<void> {
    const look = async () => {
      const state = await this.alarmState(alarm);
      if (state === "returned-unacknowledged") {
        const body = JSON.stringify({ by: "the bench" });
        await this.guest.ask(`${this.url}/api/alarms/${alarm}/acknowledge`, "POST", body);
      }
      return state;
    };
    await seen(look, (state) => state === "normal", `${alarm} to return`);
  }

  /** Ends it as a pulled plug does, and waits until it is gone. */
  async kill(): Promise<void> {
    await this.guest.signal(PROGRAM, "SIGKILL");
    await patiently(async () => (await this.guest.program(PROGRAM)).ended, "the station to end");
  }
}
