import { EmulatedBoard } from "../sources/board/emulated-board.js";
import { Board } from "./bench-rig.js";

/** How often the emulated board is given its share of time, ms. */
const SLICE_MS = 10;
/** The most of it at once, ms: where the machine is too slow for the board, the board's time is the slower one. */
const MOST_AT_ONCE_MS = 40;

/**
 * The emulated board at the far end of a real pair of terminals. Its time passes beside the real one, `speed` times as fast at most;
 * what it does it does by its own.
 */
export class FirmwareRig {
  readonly board: EmulatedBoard;
  readonly #terminal: Board;
  #timer: NodeJS.Timeout | null = null;
  #sent: number[] = [];
  #toLose = 0;

  private constructor(program: Uint16Array, terminal: Board) {
    this.board = new EmulatedBoard(program);
    this.board.sent = (byte) => this.#out(byte);
    this.#terminal = terminal;
  }

  static async plugIn(folder: string, program: Uint16Array): Promise<FirmwareRig> {
    return new FirmwareRig(program, await Board.plugIn(folder));
  }

  /** From here on its time passes. */
  switchOn(speed: number): void {
    let last = performance.now();
    this.#timer = setInterval(() => {
      const now = performance.now();
      this.board.run((Math.min(now - last, MOST_AT_ONCE_MS) / 1000) * speed);
      last = now;
      this.#terminal.write(String.fromCharCode(...this.#sent.splice(0)));
    }, SLICE_MS);
  }

  get path(): string {
    return this.#terminal.path;
  }

  /** The next so many bytes do not arrive. */
  lose(bytes: number): void {
    this.#toLose = bytes;
  }

  #out(byte: number): void {
    if (this.#toLose > 0) this.#toLose -= 1;
    else this.#sent.push(byte);
  }

  async end(): Promise<void> {
    if (this.#timer !== null) clearInterval(this.#timer);
    await this.#terminal.unplug();
  }
}

/** A station.yaml for the board's eight points. */
export function firmwareConfig(path: string): object {
  const channel = (id: string, kind: string, more: object = {}) => ({
    ...{ id, kind, source: "board", point: id, expected_every_s: 1, ...more },
  });
  return {
    station: { name: "Test shed" },
    coolant_range: { low: 16, high: 21 },
    runs: { join_gap_s: 0.5, min_good_share: 0.5 },
    alarms: { "sensor-dead": { on_delay_s: 0, off_delay_s: 0 } },
    sources: [{ id: "board", driver: "serial", path, silent_after_s: 20 }],
    channels: [
      channel("coolant-in", "coolant-inlet", { resolution: 0.0625 }),
      channel("coolant-out", "coolant-outlet", { resolution: 0.0625 }),
      channel("coolant-flow", "coolant-flow"),
      channel("room-t", "room-temperature"),
      channel("room-rh", "room-humidity"),
      channel("duct", "extraction-pressure", { running_at: 40 }),
      channel("fan", "extraction-speed", { running_at: 900 }),
      channel("laser", "laser-on"),
    ].map((each) => ({ stale_after_s: 30, ...each })),
  };
}
