import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import {
  closeSync,
  existsSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { join } from "node:path";
import { crc8Maxim } from "../../station/sources/kernel-one-wire/crc8.js";
import { crc16CcittFalse } from "../../station/sources/serial/crc16.js";
import { eventually } from "./station-process.js";

/** One SenML record, as a board sends it. */
export interface BoardRecord {
  readonly n: string;
  readonly u?: string;
  readonly v?: number;
  readonly vb?: boolean;
}

/** A line of the serial protocol around the records. */
export function boardLine(records: readonly BoardRecord[]): string {
  const json = JSON.stringify(records);
  const crc = crc16CcittFalse(Buffer.from(json)).toString(16).toUpperCase().padStart(4, "0");
  return `${json}*${crc}\n`;
}

/** The text the kernel gives for a DS18B20 at `celsius`, made as its datasheet says (raw is 1/16 °C, CRC-8 over 8 bytes). */
export function w1SlaveText(celsius: number): string {
  const raw = Math.round(celsius * 16) & 0xffff;
  const bytes = [raw & 0xff, raw >> 8, 0x4b, 0x46, 0x7f, 0xff, 0x10 - (raw & 0x0f), 0x10];
  const crc = crc8Maxim(bytes);
  const hex = [...bytes, crc].map((byte) => byte.toString(16).padStart(2, "0")).join(" ");
  const crcHex = crc.toString(16).padStart(2, "0");
  return `${hex} : crc=${crcHex} YES\n${hex} t=${Math.trunc(Math.round(celsius * 16) * 62.5)}\n`;
}

/** A folder that stands for /sys, with a 1-Wire probe and a room sensor. */
export class SysFolder {
  readonly root: string;
  readonly probe = "28-0000abcdef01";
  readonly #probeFolder: string;
  readonly #roomFolder: string;

  constructor(folder: string) {
    this.root = join(folder, "sys");
    this.#probeFolder = join(this.root, "bus/w1/devices", this.probe);
    this.#roomFolder = join(this.root, "class/hwmon/hwmon3");
    this.plugInRoom();
    this.coolant(18.5);
    this.room(20, 45);
  }

  plugInRoom(): void {
    mkdirSync(this.#roomFolder, { recursive: true });
    writeFileSync(join(this.#roomFolder, "name"), "sht3x\n");
  }

  roomUnplugged(): void {
    rmSync(this.#roomFolder, { recursive: true, force: true });
  }

  coolant(celsius: number): void {
    mkdirSync(this.#probeFolder, { recursive: true });
    this.#put(join(this.#probeFolder, "w1_slave"), w1SlaveText(celsius));
  }

  /** What newer kernels give when a probe does not answer: an empty file. */
  coolantFails(): void {
    this.#put(join(this.#probeFolder, "w1_slave"), "");
  }

  coolantUnplugged(): void {
    rmSync(this.#probeFolder, { recursive: true, force: true });
  }

  room(celsius: number, percent: number): void {
    this.#put(join(this.#roomFolder, "temp1_input"), `${Math.round(celsius * 1000)}\n`);
    this.#put(join(this.#roomFolder, "humidity1_input"), `${Math.round(percent * 1000)}\n`);
  }

  /** At once, as the kernel does: a reader sees the old text or the new. */
  #put(file: string, text: string): void {
    writeFileSync(`${file}.new`, text);
    renameSync(`${file}.new`, file);
  }
}

/** A microcontroller at the far end of a real pair of terminals. */
export class Board {
  readonly path: string;
  readonly #far: string;
  #socat: ChildProcess;
  #handle: number | null = null;
  #timer: NodeJS.Timeout | null = null;
  fan = 1500;
  laser = false;
  pedal = false;

  private constructor(folder: string, socat: ChildProcess) {
    this.path = join(folder, "board");
    this.#far = join(folder, "board-far");
    this.#socat = socat;
  }

  static async plugIn(folder: string): Promise<Board> {
    const board = new Board(folder, Board.#wire(folder));
    await board.#ready();
    return board;
  }

  static #wire(folder: string): ChildProcess {
    const end = (name: string) => `pty,raw,echo=0,link=${join(folder, name)}`;
    return spawn("socat", [end("board"), end("board-far")], { stdio: "ignore" });
  }

  async #ready(): Promise<void> {
    await eventually(() => existsSync(this.#far) && existsSync(this.path), "the pair of terminals");
    this.#handle = openSync(this.#far, "r+");
  }

  /** Sends the state of the fan and the laser now. */
  report(): void {
    this.write(
      boardLine([
        { n: "fan", u: "1/min", v: this.fan },
        { n: "laser", vb: this.laser },
        { n: "pedal", vb: this.pedal },
      ]),
    );
  }

  write(text: string): void {
    if (this.#handle !== null) writeSync(this.#handle, text);
  }

  /** Reports every `ms` milliseconds until it is told to stop. */
  reportEvery(ms: number): void {
    this.#timer ??= setInterval(() => this.report(), ms);
  }

  hush(): void {
    if (this.#timer !== null) clearInterval(this.#timer);
    this.#timer = null;
  }

  async unplug(): Promise<void> {
    this.hush();
    if (this.#handle !== null) closeSync(this.#handle);
    this.#handle = null;
    if (this.#socat.exitCode !== null || this.#socat.signalCode !== null) return;
    const gone = once(this.#socat, "exit");
    this.#socat.kill("SIGTERM");
    await gone;
  }

  async plugBackIn(folder: string): Promise<void> {
    this.#socat = Board.#wire(folder);
    await this.#ready();
  }
}

/** What comes from the board is waited for so long, s: the process of the test, which is the board, may have to wait for its turn. */
const PATIENCE_S = 30;

/** A station.yaml for the rig: quick intervals, so that a test need not wait long. */
export function rigConfig(sys: SysFolder, board: Board, more: object = {}): object {
  return {
    station: { name: "Test shed" },
    // By this name the browsers of the tests find it as from the workshop's network.
    web: { names: ["shed.test"] },
    coolant_range: { low: 16, high: 21 },
    runs: { join_gap_s: 0.5, min_good_share: 0.5 },
    alarms: {
      "extraction-stopped": { on_delay_s: 0, off_delay_s: 0 },
      "coolant-high": { on_delay_s: 0, off_delay_s: 0 },
      "sensor-dead": { on_delay_s: 0, off_delay_s: 0 },
    },
    sources: [
      { id: "water-probe", driver: "kernel-1-wire", device: sys.probe, every_s: 1 },
      { id: "room-sensor", driver: "kernel-sensor", subsystem: "hwmon", name: "sht3x", every_s: 1 },
      { id: "board", driver: "serial", path: board.path, silent_after_s: PATIENCE_S },
    ],
    channels: [
      {
        id: "coolant-in",
        name: "Coolant into the tube",
        kind: "coolant-inlet",
        source: "water-probe",
        resolution: 0.0625,
        expected_every_s: 1,
      },
      {
        id: "room-t",
        kind: "room-temperature",
        source: "room-sensor",
        point: "temperature",
        expected_every_s: 1,
      },
      { id: "room-rh", kind: "room-humidity", source: "room-sensor", point: "humidity", expected_every_s: 1 },
      {
        id: "fan-speed",
        kind: "extraction-speed",
        source: "board",
        point: "fan",
        running_at: 900,
        expected_every_s: 1,
      },
      { id: "laser", kind: "laser-on", source: "board", point: "laser", expected_every_s: 1 },
      { id: "pedal", kind: "foot-switch", source: "board", point: "pedal", expected_every_s: 1 },
    ].map((each) => ({ ...each, stale_after_s: PATIENCE_S })),
    ...more,
  };
}
