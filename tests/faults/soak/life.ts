import { randomUUID } from "node:crypto";
import { type HeldStation, type HeldTime, startHeld } from "./held-station.js";
import type { Line } from "./shed.js";

/** One boot of the machine: how its monotonic clock lies to the seconds of the soak. */
export interface Boot {
  readonly id: string;
  /** Seconds from the start at which the monotonic clock is at zero. */
  readonly zeroS: number;
}

/** One start of the station, until it was ended. */
export interface Life {
  readonly boot: Boot;
  readonly fromS: number;
  toS: number;
  /** From when its readings were held in memory, because the disk was full; null for not. */
  heldFromS: number | null;
  readonly openedMs: number;
  lines: readonly Line[];
  bytesRead: number;
  stopped: boolean;
}

/** How long the machine takes until the station starts, seconds after boot. */
const BOOT_S = 20;
/** When the soak begins, by the true clock: so that summer time ends in the middle of it. */
export function beginningOf(days: number): number {
  return Date.UTC(2026, 9, 25) - Math.floor(days / 2) * 86_400_000;
}

/** The machine with its clocks: what is true of them, and what they show. */
export class Machine {
  boot: Boot;
  lives: Life[] = [];
  station: HeldStation | null = null;
  /** How far the wall clock is from the truth, milliseconds, and whether it counts as set. */
  offMs = 0;
  synchronised = true;
  readonly boots: Boot[] = [];

  constructor(
    readonly beginning: number,
    private readonly launch: {
      readonly args: readonly string[];
      readonly cwd: string;
      readonly through: readonly string[];
    },
  ) {
    this.boot = { id: randomUUID(), zeroS: -BOOT_S };
    this.boots.push(this.boot);
  }

  monoAt(atS: number): number {
    return Math.round((atS - this.boot.zeroS) * 1000);
  }

  wallAt(atS: number): number {
    return this.beginning + Math.round(atS * 1000) + this.offMs;
  }

  timeAt(atS: number): HeldTime {
    return { mono: this.monoAt(atS), wall: this.wallAt(atS), synchronised: this.synchronised };
  }

  /** Without a battery clock: nobody has set it, and it wakes up with this. */
  bootAnew(atS: number, wall: number): void {
    this.boot = { id: randomUUID(), zeroS: atS - BOOT_S };
    this.boots.push(this.boot);
    this.synchronised = false;
    this.offMs = Math.max(0, wall) - this.beginning - Math.round(atS * 1000);
  }

  /** The station has ended. */
  over(atS: number, lines: readonly Line[]): void {
    const { life } = this;
    life.toS = atS;
    life.lines = lines;
    life.bytesRead = this.station?.bytesRead ?? 0;
    this.station = null;
  }

  get life(): Life {
    return this.lives.at(-1) as Life;
  }

  async start(atS: number): Promise<HeldStation> {
    const station = await startHeld({
      ...this.launch,
      at: this.timeAt(atS),
      boot: this.boot.id,
      env: { TZ: "Europe/London" },
    });
    this.station = station;
    const { openedMs } = station;
    this.lives.push({
      ...{ boot: this.boot, fromS: atS, toS: Number.POSITIVE_INFINITY, openedMs },
      ...{ lines: [], bytesRead: 0, heldFromS: null, stopped: false },
    });
    return station;
  }

  get running(): HeldStation {
    if (this.station === null) throw new Error("the station is not running");
    return this.station;
  }

  /** Sets the wall clock, in the station too. */
  async setClock(atS: number, offMs: number, synchronised: boolean): Promise<void> {
    this.offMs = offMs;
    this.synchronised = synchronised;
    await this.station?.order({ wall: this.wallAt(atS), synchronised });
  }
}
