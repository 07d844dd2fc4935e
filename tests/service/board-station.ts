import { expect } from "vitest";
import { Board, rigConfig, SysFolder } from "./bench-rig.js";
import { type StationProcess, startStation, temporaryFolder } from "./station-process.js";

/** What the station is started with beside what every one of these has. */
interface Options {
  /** Of station.yaml. */
  readonly config?: object;
  readonly args?: readonly string[];
  readonly env?: Readonly<Record<string, string>>;
}

/** A built station over a board on a serial line, on which nothing begins a run by itself. */
export class BoardStation {
  readonly folder: string;
  readonly #remove: () => void;
  readonly #sys: SysFolder;
  readonly #more: Options;
  #board!: Board;
  station!: StationProcess;

  constructor(more: Options = {}) {
    this.#more = more;
    const { folder, remove } = temporaryFolder();
    this.folder = folder;
    this.#remove = remove;
    this.#sys = new SysFolder(folder);
  }

  async plugIn(): Promise<void> {
    this.#board = await Board.plugIn(this.folder);
    this.#board.reportEvery(200);
    await this.start();
  }

  /** On the port that it had before, if it had one. */
  async start(): Promise<void> {
    const port = this.station === undefined ? undefined : Number(new URL(this.station.url).port);
    this.station = await startStation(this.folder, rigConfig(this.#sys, this.#board, this.#more.config), {
      more: ["--sys-root", this.#sys.root, ...(this.#more.args ?? [])],
      ...(this.#more.env === undefined ? {} : { env: this.#more.env }),
      ...(port === undefined ? {} : { port }),
    });
  }

  async end(): Promise<void> {
    await this.station?.stop();
    await this.#board?.unplug();
    this.#remove();
  }

  /** The board's cable is pulled. */
  async pull(): Promise<void> {
    await this.#board.unplug();
  }

  /** What the probe in the water reads from its next look on. */
  water(celsius: number): void {
    this.#sys.coolant(celsius);
  }

  /** How fast the extraction's fan turns from now on, 1/min. */
  fan(speed: number): void {
    this.#board.fan = speed;
    this.#board.report();
  }

  /** Whether the laser is on from now on. */
  laser(on: boolean): void {
    this.#board.laser = on;
    this.#board.report();
  }

  /** The foot switch, down and up again. */
  tread(): void {
    for (const down of [true, false]) {
      this.#board.pedal = down;
      this.#board.report();
    }
  }

  get<T>(path: string): Promise<T> {
    return this.station.get<T>(path);
  }

  /** What the station is to do without a word. */
  async done<T>(method: string, path: string, body?: unknown): Promise<T> {
    const answer = await this.station.send(method, path, body);
    expect([path, answer.status]).toEqual([path, expect.toSatisfy((status: number) => status < 300)]);
    return answer.body as T;
  }

  /** A run from its beginning to its end; the specimen that it was of. */
  async cut(): Promise<string | undefined> {
    const run = await this.done<{ id: string; settings: { specimen?: string } }>("POST", "/api/runs", {});
    await this.done("POST", `/api/runs/${run.id}/end`);
    return run.settings.specimen;
  }
}
