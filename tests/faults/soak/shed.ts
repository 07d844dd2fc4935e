import { demoConfig } from "../../../station/config.js";
import { createRandom } from "../../../station/random.js";
import {
  type Ambient,
  advance,
  type BenchState,
  benchAtStart,
} from "../../../station/sources/bench-simulator/model.js";
import { sense } from "../../../station/sources/bench-simulator/sensing.js";
import { Board, boardLine, SysFolder } from "../../service/bench-rig.js";
import { FAN_BEFORE_S, type Job } from "../shop-plan.js";
import type { Trouble } from "./plan.js";

const AMBIENT: Ambient = { temperatureC: 20.5, humidityPct: 45 };
/** The fan runs on longer than the station asks for. */
const RUN_ON_S = 90;
/** The number of a line is in its flow: so many of them before they begin anew. */
export const NUMBERS = 1000;

/** A line that the board has sent. */
export interface Line {
  readonly number: number;
  readonly atS: number;
  /** Bytes that a station has read when it has it: of those that it was there for. */
  readonly bytes: number;
  /** Whether the station was listening: a line before that may go lost. */
  readonly heard: boolean;
}

/** The bench, with the sensors that the station reads: files of the kernel, and a board at the far end of a terminal. */
export class Shed {
  readonly sys: SysFolder;
  board!: Board;
  bench: BenchState;
  /** Since the station was started. */
  lines: Line[] = [];
  #bytes = 0;
  /** Bytes that went by before anybody listened. */
  #past = 0;
  #readBefore = 0;
  #heard = false;
  #number = 0;
  #boardOn = true;
  #roomOn = true;
  #laser = false;
  readonly #folder: string;
  readonly #modelRandom;
  readonly #sensorRandom;

  private constructor(folder: string, seed: number) {
    this.#folder = folder;
    this.sys = new SysFolder(folder);
    this.#modelRandom = createRandom(seed, 12);
    this.#sensorRandom = createRandom(seed, 13);
    this.bench = benchAtStart(AMBIENT, {
      laserOn: false,
      fanPowered: false,
      pumpPowered: true,
      chillerRunsAway: false,
    });
  }

  static async open(folder: string, seed: number): Promise<Shed> {
    const shed = new Shed(folder, seed);
    shed.board = await Board.plugIn(folder);
    return shed;
  }

  /** The world goes on by a second. */
  pass(atS: number, job: Job | undefined, standing: (trouble: Trouble["trouble"]) => boolean): void {
    this.#laser = job !== undefined && atS >= job.fromS && atS < job.toS;
    const inputs = {
      laserOn: this.#laser,
      fanPowered: job !== undefined && !standing("fan-stops"),
      pumpPowered: true,
      chillerRunsAway: standing("coolant-runs-away"),
    };
    this.bench = advance(this.bench, 1, this.#modelRandom, inputs, AMBIENT);
  }

  get laser(): boolean {
    return this.#laser;
  }

  /** A new start of the station: nothing that was sent before is for it. */
  startedAnew(): void {
    this.lines = [];
    this.#bytes = 0;
    this.#past = 0;
    this.#notHeard(0);
  }

  #notHeard(bytesRead: number): void {
    this.#heard = false;
    this.#readBefore = bytesRead;
  }

  /** Bytes that the station is to have read by now, as far as it listens. */
  get wanted(): { readonly bytes?: number } {
    return this.#heard ? { bytes: this.#bytes - this.#past } : {};
  }

  /** What the station has read since its start, and whether it was waited for in vain. */
  wasRead(bytesRead: number, inVain: boolean): void {
    if (inVain) this.#notHeard(bytesRead);
    if (this.#heard || bytesRead <= this.#readBefore) return;
    this.#heard = true;
    this.#past = this.#bytes - bytesRead;
  }

  #sensed(point: Parameters<typeof sense>[0]): number {
    return sense(point, this.bench, { laserOn: this.#laser, lidOpen: false }, this.#sensorRandom);
  }

  showCoolant(): void {
    this.sys.coolant(this.#sensed("coolant-inlet"));
  }

  showRoom(): void {
    if (this.#roomOn) this.sys.room(this.#sensed("room-temperature"), this.#sensed("room-humidity"));
  }

  say(atS: number): void {
    if (!this.#boardOn) return;
    const number = this.#number;
    this.#number = (number + 1) % NUMBERS;
    const text = boardLine([
      { n: "fan", u: "1/min", v: this.#sensed("extraction-speed") },
      { n: "flow", u: "l/min", v: 2 + number / NUMBERS },
      { n: "laser", vb: this.#laser },
    ]);
    this.board.write(text);
    this.#bytes += text.length;
    this.lines.push({ number, atS, bytes: this.#bytes - this.#past, heard: this.#heard });
  }

  unplugProbe(): void {
    this.sys.coolantUnplugged();
  }

  unplugRoom(): void {
    this.#roomOn = false;
    this.sys.roomUnplugged();
  }

  plugRoom(): void {
    this.#roomOn = true;
    this.sys.plugInRoom();
    this.showRoom();
  }

  async unplugBoard(bytesRead: number): Promise<void> {
    this.#boardOn = false;
    this.#notHeard(bytesRead);
    await this.board.unplug();
  }

  async plugBoard(): Promise<void> {
    await this.board.plugBackIn(this.#folder);
    this.#boardOn = true;
  }

  async close(): Promise<void> {
    await this.board.unplug();
  }
}

/** The job whose fan is on: it is switched on a little before the cut, and off a good while after. To be asked second after second. */
export function jobsOneByOne(jobs: readonly Job[]): (atS: number) => Job | undefined {
  let next = 0;
  return (atS) => {
    for (let job = jobs[next]; job !== undefined && atS >= job.toS + RUN_ON_S; job = jobs[next]) next += 1;
    const job = jobs[next];
    return job !== undefined && atS >= job.fromS - FAN_BEFORE_S ? job : undefined;
  };
}

/** Under which the broker is told. */
export const TOPIC = "shed";

export interface Ports {
  readonly mail: number;
  readonly webhook: number;
  readonly mqtt: number | null;
}

/** The station.yaml of the soak. */
export function soakConfig(shed: Shed, ports: Ports, backups: string): object {
  const { coolant_range: range } = demoConfig();
  return {
    station: { name: "Long shed" },
    coolant_range: { ...range },
    after_cut: { run_on_s: 60 },
    journal: { reserve_mb: 12 },
    backup: { folder: backups, at: "03:30" },
    alarms: {
      "disk-nearly-full": { setpoint: 25, deadband: 5 },
      "disk-filling": { setpoint: 30, deadband: 5 },
      disk_filling_days: 1,
    },
    outward: {
      quiet_hours: { from: "20:00", to: "23:00" },
      mail: {
        ...{ host: "127.0.0.1", port: ports.mail, security: "none" },
        ...{ from: "shed@shop.example", to: ["owner@shop.example"] },
      },
      webhook: { url: `http://127.0.0.1:${ports.webhook}/shed`, allow_http: true },
      ...(ports.mqtt === null ? {} : { mqtt: { url: `mqtt://127.0.0.1:${ports.mqtt}`, topic: TOPIC } }),
    },
    sources: [
      { id: "water-probe", driver: "kernel-1-wire", device: shed.sys.probe, every_s: COOLANT_EVERY_S },
      {
        id: "room-sensor",
        driver: "kernel-sensor",
        subsystem: "hwmon",
        name: "sht3x",
        every_s: ROOM_EVERY_S,
      },
      { id: "board", driver: "serial", path: shed.board.path, silent_after_s: 30 },
    ],
    channels: [
      { id: "coolant-in", kind: "coolant-inlet", source: "water-probe", expected_every_s: COOLANT_EVERY_S },
      {
        id: "room-t",
        kind: "room-temperature",
        source: "room-sensor",
        point: "temperature",
        expected_every_s: ROOM_EVERY_S,
      },
      {
        id: "room-rh",
        kind: "room-humidity",
        source: "room-sensor",
        point: "humidity",
        expected_every_s: ROOM_EVERY_S,
      },
      {
        id: "fan",
        kind: "extraction-speed",
        source: "board",
        point: "fan",
        running_at: 900,
        expected_every_s: LINE_EVERY_S,
      },
      {
        id: "flow",
        kind: "coolant-flow",
        source: "board",
        point: "flow",
        resolution: 1 / NUMBERS,
        expected_every_s: LINE_EVERY_S,
      },
      { id: "laser", kind: "laser-on", source: "board", point: "laser", expected_every_s: LINE_EVERY_S },
    ],
  };
}

export const COOLANT_EVERY_S = 10;
export const ROOM_EVERY_S = 30;
export const LINE_EVERY_S = 10;
