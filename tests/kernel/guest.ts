import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createServer, type Server, type Socket } from "node:net";
import { homedir, tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";

/** Where the kernel and its modules are, as `.setup/kernel` puts them there. */
const BENCH =
  process.env.KERNEL_BENCH ??
  join(process.env.XDG_CACHE_HOME ?? join(homedir(), ".cache"), "workshop-station", "kernel");

const QEMU = "qemu-system-x86_64";
/** A machine that is emulated on a busy one may take this long to come up, and a station in it to start. */
export const BOOT_LIMIT_MS = 1_800_000;
/** How long a test waits for what should come of itself: long, since the guest is many times slower than a Pi. */
export const PATIENCE_MS = 900_000;

export interface GuestOptions {
  /** Further options of QEMU: devices to plug in. @param folder where their sockets may be */
  readonly qemu?: (folder: string) => readonly string[];
  /** Further virtio ports that a program may write to, by name, each with the file on this machine that takes it. */
  readonly ports?: Readonly<Record<string, string>>;
}

export interface Ran {
  readonly code: number | string;
  readonly out: string;
  readonly words: string;
}

export interface Program {
  readonly pid: number;
  readonly output: string;
  readonly ended: { readonly code: number | null; readonly signal: string | null } | null;
}

interface Waiting {
  resolve(answer: unknown): void;
  reject(error: Error): void;
}

/**
 * A machine that QEMU emulates, with Debian's own kernel. Its root is this machine's own, read-only under a layer in memory;
 * the project's folder is /project; /out is shared with `out` for writing. `bench/agent.mjs` does in it what is asked here.
 */
export class Guest {
  readonly #asked = new Map<number, Waiting>();
  #next = 1;
  #ended: string | null = null;

  private constructor(
    readonly folder: string,
    readonly out: string,
    readonly qemu: ChildProcess,
    readonly server: Server,
    readonly socket: Socket,
  ) {}

  /** @throws Error that says what is missing, where there is no kernel to boot */
  static async boot(options: GuestOptions = {}): Promise<Guest> {
    demandBench();
    const folder = mkdtempSync(join(tmpdir(), "guest-"));
    const out = join(folder, "out");
    mkdirSync(out);
    const server = createServer();
    server.listen(join(folder, "agent"));
    await once(server, "listening");
    const args = qemuArguments(folder, options);
    const qemu = spawn("setpriv", ["--pdeathsig", "KILL", QEMU, ...args], {
      stdio: ["ignore", "ignore", "pipe"],
    });
    let words = "";
    qemu.stderr?.on("data", (data: Buffer) => {
      words += data.toString();
    });
    const [socket] = (await Promise.race([
      once(server, "connection"),
      once(qemu, "exit").then(() => Promise.reject(new Error(`QEMU did not start:\n${words}`))),
    ])) as [Socket];
    const guest = new Guest(folder, out, qemu, server, socket);
    await guest.#ready();
    return guest;
  }

  async #ready(): Promise<void> {
    const console = () => {
      const log = join(this.folder, "console.log");
      return existsSync(log) ? readFileSync(log, "utf8").split("\n").slice(-20).join("\n") : "";
    };
    const ready = new Promise<unknown>((resolve, reject) => this.#asked.set(0, { resolve, reject }));
    createInterface({ input: this.socket }).on("line", (line) => {
      const { id, answer, error, code } = JSON.parse(line) as {
        id: number;
        answer?: unknown;
        error?: string;
        code?: string;
      };
      const waiting = this.#asked.get(id);
      this.#asked.delete(id);
      if (error === undefined) waiting?.resolve(answer);
      else waiting?.reject(Object.assign(new Error(error), { code }));
    });
    this.socket.on("error", () => {});
    this.qemu.once("exit", () => {
      this.#ended = `the guest has ended; its last words:\n${console()}`;
      for (const { reject } of this.#asked.values()) reject(new Error(this.#ended));
      this.#asked.clear();
    });
    const limit = setTimeout(() => {
      for (const { reject } of this.#asked.values())
        reject(new Error(`the guest did not come up; its last words:\n${console()}`));
      this.qemu.kill("SIGKILL");
    }, BOOT_LIMIT_MS);
    try {
      await ready;
    } finally {
      clearTimeout(limit);
    }
  }

  #ask<T>(deed: string, more: object): Promise<T> {
    if (this.#ended !== null) return Promise.reject(new Error(this.#ended));
    const id = this.#next++;
    return new Promise<T>((resolve, reject) => {
      this.#asked.set(id, { resolve: (answer) => resolve(answer as T), reject });
      this.socket.write(`${JSON.stringify({ id, deed, ...more })}\n`);
    });
  }

  /** Rejects with the guest's system's name of the error as `code`. */
  read(path: string): Promise<string> {
    return this.#ask("read", { path });
  }

  async write(path: string, text: string): Promise<void> {
    await this.#ask("write", { path, text });
  }

  /** @returns the guest's monotonic milliseconds just before and just after */
  writeNow(path: string, text: string): Promise<{ before: number; after: number }> {
    return this.#ask("writeNow", { path, text });
  }

  run(command: string, withinMs = PATIENCE_MS): Promise<Ran> {
    return this.#ask("run", { command, withinMs });
  }

  /** As `run`, and rejects where the command ends with anything but 0. @returns what it printed */
  async mustRun(command: string): Promise<string> {
    const { code, out, words } = await this.run(command);
    if (code !== 0) throw new Error(`${command}\nended with ${code} in the guest:\n${out}${words}`);
    return out;
  }

  async modules(...names: readonly string[]): Promise<void> {
    await this.mustRun(`modprobe -a ${names.join(" ")}`);
  }

  /** Starts a program that goes on. @param more.toPort one of the ports that the guest was booted with */
  start(
    name: string,
    command: readonly string[],
    more: { env?: Readonly<Record<string, string>>; cwd?: string; toPort?: string } = {},
  ): Promise<number> {
    return this.#ask("start", { name, command, ...more });
  }

  program(name: string): Promise<Program> {
    return this.#ask("program", { name });
  }

  async signal(name: string, signal: NodeJS.Signals): Promise<void> {
    await this.#ask("signal", { name, signal });
  }

  ask(url: string, method = "GET", body?: string): Promise<{ status: number; text: string }> {
    return this.#ask("ask", { url, method, ...(body === undefined ? {} : { body }) });
  }

  /** Takes the machine away, as a pulled plug does to all but its disk's own cache. Its files stay until `remove`. */
  async kill(): Promise<void> {
    if (this.qemu.exitCode === null && this.qemu.signalCode === null) {
      const ended = once(this.qemu, "exit");
      this.qemu.kill("SIGKILL");
      await ended;
    }
    this.socket.destroy();
    this.server.close();
  }

  async remove(): Promise<void> {
    await this.kill();
    rmSync(this.folder, { recursive: true, force: true });
  }
}

function demandBench(): void {
  const mend = "run `bash .setup/kernel` first (Debian on amd64; it installs QEMU and fetches a kernel)";
  if (spawnSync(QEMU, ["--version"]).error !== undefined) {
    throw new Error(`${QEMU} is not installed: ${mend}`);
  }
  for (const part of ["vmlinuz", "initramfs.cpio", "modules/extra/w1_sim.ko"]) {
    if (!existsSync(join(BENCH, part))) throw new Error(`there is no ${part} in ${BENCH}: ${mend}`);
  }
}

function qemuArguments(folder: string, { qemu = () => [], ports = {} }: GuestOptions): readonly string[] {
  const shared = (id: string, path: string, more = ",readonly=on") => [
    ...["-fsdev", `local,id=${id},path=${path},security_model=none,multidevs=remap${more}`],
    ...["-device", `virtio-9p-pci,fsdev=${id},mount_tag=${id}`],
  ];
  const kernelOptions =
    "console=ttyS0 quiet loglevel=4 panic=-1 mitigations=off nokaslr no_timer_check nowatchdog rcupdate.rcu_expedited=1 cryptomgr.notests";
  return [
    ...[
      "-M",
      "q35,i8042=off,hpet=off",
      "-cpu",
      "max",
      "-accel",
      "tcg,thread=multi",
      "-m",
      "1024",
      "-smp",
      "2",
    ],
    ...["-nodefaults", "-no-user-config", "-display", "none", "-no-reboot"],
    ...[
      "-kernel",
      join(BENCH, "vmlinuz"),
      "-initrd",
      join(BENCH, "initramfs.cpio"),
      "-append",
      kernelOptions,
    ],
    ...["-serial", `file:${join(folder, "console.log")}`],
    ...["-device", "virtio-serial-pci"],
    ...["-chardev", `socket,id=agent,path=${join(folder, "agent")},server=off`],
    ...["-device", "virtserialport,chardev=agent,name=agent"],
    ...Object.entries(ports).flatMap(([name, file]) => [
      ...["-chardev", `file,id=port-${name},path=${file}`],
      ...["-device", `virtserialport,chardev=port-${name},name=${name}`],
    ]),
    ...shared("root", "/"),
    ...shared("project", process.cwd()),
    ...shared("modules", join(BENCH, "modules")),
    ...shared("out", join(folder, "out"), ""),
    ...qemu(folder),
  ];
}
