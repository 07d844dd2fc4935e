import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  rmSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { SysFolder } from "../service/bench-rig.js";
import { freePort } from "../service/outward-servers.js";
import { eventually, temporaryFolder } from "../service/station-process.js";
import { BenchGpiod } from "../sources/bench-gpiod.js";

/** What the pins of the header are (the Pi's pin-out, from memory). */
const PINS: Readonly<Record<number, string>> = {
  1: "3.3 V",
  7: "GPIO 4",
  9: "ground",
  11: "GPIO 17",
  14: "ground",
};
const GPIOD = ["gpiodetect", "gpioinfo", "gpioget", "gpiomon", "gpioset"];
/** What the two commands want of the project's folder. */
const NEEDED = [".setup", ".config", ".build", "station", "ui", "safety", "package.json", "tsconfig.json"];

/**
 * A Pi with nothing on it, as far as the steps of the README go: wires that are only changed while it is off, commands of its system that do
 * what they are for, and a copy of the project's folder in which the station is started by its own command.
 */
export class BarePi {
  readonly #temporary = temporaryFolder();
  readonly folder = join(this.#temporary.folder, "station");
  readonly #sys = new SysFolder(this.#temporary.folder);
  readonly #gpiod = new BenchGpiod(2, 28);
  readonly #bin = join(this.#temporary.folder, "bin");
  readonly #did = (name: string) => join(this.#temporary.folder, name);
  #on = true;
  #probeWired = false;
  #switchWired = false;
  #water = 18.5;
  #terminal: ChildProcess | null = null;
  #said = "";
  #port: number | null = null;
  url = "";

  constructor() {
    mkdirSync(this.folder);
    // Times and all: what was built is not to be built anew.
    execFileSync("cp", ["-a", ...NEEDED, this.folder]);
    symlinkSync(join(process.cwd(), "node_modules"), join(this.folder, "node_modules"));
    copyFileSync("package-lock.json", join(this.folder, "package-lock.json"));
    // What is installed is the tests' own, and is not to be installed anew.
    utimesSync(join(this.folder, "package-lock.json"), 0, 0);
    this.#sys.coolantUnplugged();
    this.#kernel("class/hwmon/hwmon3", null);
    this.#kernel("class/hwmon/hwmon0", { name: "cpu_thermal", temp1_input: "48000" });
    this.#kernel("class/gpio/gpiochip512", { label: "pinctrl-bcm2711", base: "512", ngpio: "58" });
    this.#command("sudo", 'exec "$@"');
    this.#command(
      "raspi-config",
      `[ "$*" = "nonint do_onewire 0" ] || { echo "expected: nonint do_onewire 0" >&2; exit 2; }; touch ${this.#did("asked-for-1-wire")}`,
    );
    this.#command(
      "apt",
      `[ "$*" = "install gpiod" ] || { echo "expected: install gpiod" >&2; exit 100; }; touch ${this.#did("gpiod")}`,
    );
    this.#command("reboot", `touch ${this.#did("rebooted")}`);
    for (const name of GPIOD) {
      const tool = join(this.#gpiod.folder, name);
      this.#command(name, `[ -e ${this.#did("gpiod")} ] || exit 127; exec ${tool} "$@"`);
    }
  }

  power(on: boolean): void {
    this.#on = on;
    this.#show();
  }

  /** @param pins by the wire's colour or part */
  connectProbe(pins: {
    red: number;
    yellow: number;
    black: number;
    resistor: readonly [number, number];
  }): void {
    this.#wire([
      [pins.red, "3.3 V"],
      [pins.yellow, "GPIO 4"],
      [pins.black, "ground"],
    ]);
    const between = pins.resistor.map((pin) => PINS[pin]).sort();
    if (String(between) !== "3.3 V,GPIO 4") throw new Error(`the resistor is between ${between}`);
    this.#probeWired = true;
  }

  connectSwitch(line: number, ground: number): void {
    this.#wire([
      [line, "GPIO 17"],
      [ground, "ground"],
    ]);
    this.#switchWired = true;
    this.extraction(true);
  }

  /** Air closes the switch, and a closed switch pulls the line to ground. */
  extraction(runs: boolean): void {
    if (!this.#switchWired) throw new Error("nothing is connected that could tell of it");
    const level = runs ? 0 : 1;
    if (this.#gpiod.holder(17) === null) this.#gpiod.put(17, level);
    else this.#gpiod.move(17, level, Number(process.hrtime.bigint() / 1_000_000n));
  }

  holdProbe(): void {
    this.#water = 26;
    this.#show();
  }

  waterAt(celsius: number): void {
    this.#water = celsius;
    this.#show();
  }

  /** Types a command into the terminal, and gives what it says; one that stays, as the station does, until it listens. */
  async type(command: string): Promise<string> {
    if (!this.#on) throw new Error("the Pi is off");
    if (this.#terminal !== null) throw new Error("the terminal is taken: the station runs in it");
    this.#said = "";
    // The same for every start, as the one that the README names is.
    this.#port ??= await freePort();
    const child = spawn("bash", ["-c", command], {
      cwd: this.folder,
      detached: true,
      stdio: ["ignore", "pipe", "pipe"],
      env: {
        ...process.env,
        PATH: `${this.#bin}:${process.env.PATH}`,
        STATION_SYS_ROOT: this.#sys.root,
        STATION_SERIAL_ROOT: this.#did("by-id"),
        STATION_PORT: String(this.#port),
      },
    });
    for (const stream of [child.stdout, child.stderr]) {
      stream.on("data", (data: Buffer) => {
        this.#said += data.toString();
      });
    }
    this.#terminal = child;
    child.once("exit", () => {
      this.#terminal = null;
    });
    const listening = () => /url=(http:\/\/\S+)/.exec(this.#said)?.[1];
    await eventually(
      () => this.#terminal === null || listening() !== undefined,
      `${command} to answer`,
      90_000,
    );
    this.url = listening() ?? this.url;
    this.#show();
    return this.#said;
  }

  /** As the terminal does: everything that was started in it is told. */
  async controlC(): Promise<void> {
    const child = this.#terminal;
    if (child?.pid === undefined) throw new Error("nothing runs in the terminal");
    const ended = once(child, "exit");
    process.kill(-child.pid, "SIGINT");
    await ended;
  }

  async remove(): Promise<void> {
    if (this.#terminal !== null) await this.controlC();
    this.#gpiod.remove();
    this.#temporary.remove();
  }

  /** What the kernel shows by now. */
  #show(): void {
    const bus = existsSync(this.#did("asked-for-1-wire")) && existsSync(this.#did("rebooted"));
    if (this.#on && this.#probeWired && bus) this.#sys.coolant(this.#water);
  }

  #wire(wires: readonly (readonly [number, string])[]): void {
    if (this.#on) throw new Error("wires are changed with the Pi switched off");
    for (const [pin, wanted] of wires) {
      if (PINS[pin] !== wanted) throw new Error(`pin ${pin} is ${PINS[pin]}, and not ${wanted}`);
    }
  }

  #kernel(path: string, files: Readonly<Record<string, string>> | null): void {
    const folder = join(this.#sys.root, path);
    rmSync(folder, { recursive: true, force: true });
    if (files === null) return;
    mkdirSync(folder, { recursive: true });
    for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), `${text}\n`);
  }

  #command(name: string, body: string): void {
    mkdirSync(this.#bin, { recursive: true });
    const file = join(this.#bin, name);
    writeFileSync(file, `#!/bin/bash\n${body}\n`);
    chmodSync(file, 0o755);
  }
}
