import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, renameSync } from "node:fs";
import { homedir, tmpdir } from "node:os";
import { join } from "node:path";
import { eventually } from "../service/station-process.js";

/** Where images are kept: making one asks Debian's mirror for some hundred megabytes. */
const KEPT = join(homedir(), ".cache/workshop-station-tests");
const SUITE = "trixie";
/** What a system without a screen has before anything is installed, with systemd for its init. */
const BARE = ["systemd", "systemd-sysv", "udev", "dbus", "ca-certificates", "sudo", "git"];
const IMAGES = {
  plain: BARE,
  /** With what `.setup/install` asks Debian for: the machine has no network of its own once it is booted. */
  builder: [...BARE, "nodejs", "npm", "g++", "make", "python3", "adduser", "gnupg", "openssh-client"],
} as const;
export type Image = keyof typeof IMAGES;
const WANTED = ["mmdebstrap", "systemd-nspawn", "nsenter", "dpkg-deb", "dpkg-shlibdeps", "git"];
const CLEAN = [
  "env",
  "-i",
  "PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin",
  "HOME=/root",
  "LANG=C.UTF-8",
];

const AUTHORITIES = "/etc/ssl/certs/ca-certificates.crt";

export interface Ran {
  readonly code: number | null;
  /** Of both streams, as it came. */
  readonly text: string;
}

/** Not waited for in the way that would hold up this process: some of it takes minutes. */
export async function run(command: readonly string[], options: { cwd?: string } = {}): Promise<Ran> {
  const [program = "", ...args] = command;
  const child = spawn(program, args, { ...options, stdio: ["ignore", "pipe", "pipe"] });
  let text = "";
  for (const stream of [child.stdout, child.stderr]) {
    stream.on("data", (data: Buffer) => {
      text += data.toString();
    });
  }
  const [code] = (await once(child, "close")) as [number | null];
  return { code, text };
}

/** @throws with what it said, where it does not end with 0 */
export async function done(command: readonly string[], options: { cwd?: string } = {}): Promise<string> {
  const { code, text } = await run(command, options);
  if (code !== 0) throw new Error(`${command.join(" ")} ended with ${code}:\n${text}`);
  return text;
}

/** Why there can be no such machine here, in words for the name of the tests; null where there can. Makes the images. */
export async function whyNoMachine(images: readonly Image[]): Promise<string | null> {
  if (process.getuid?.() !== 0) return "NOT RUN, only root can boot a container";
  const missing = WANTED.filter((name) => spawnSync("sh", ["-c", `command -v ${name}`]).status !== 0);
  if (missing.length > 0) return `NOT RUN, not here: ${missing.join(", ")}`;
  for (const image of images) {
    const file = imageFile(image);
    if (existsSync(file)) continue;
    mkdirSync(KEPT, { recursive: true });
    const partial = join(KEPT, `partial-${image}.tar`);
    const made = await run([
      "mmdebstrap",
      "--variant=minbase",
      `--include=${IMAGES[image].join(",")}`,
      SUITE,
      partial,
    ]);
    if (made.code !== 0) {
      return `NOT RUN, no image of Debian could be made: ${made.text.trim().split("\n").at(-1)}`;
    }
    renameSync(partial, file);
  }
  return null;
}

const imageFile = (image: Image) => join(KEPT, `${image}.tar`);

/** A Debian of its own in a folder, which is booted with systemd as its init and has no network but its own loop. */
export class FreshDebian {
  readonly root: string;
  #box: ChildProcess | null = null;
  #init = 0;

  private constructor(root: string) {
    this.root = root;
  }

  static async unpack(image: Image): Promise<FreshDebian> {
    const root = mkdtempSync(join(tmpdir(), "fresh-debian-"));
    await done(["tar", "-C", root, "-xf", imageFile(image)]);
    return new FreshDebian(root);
  }

  /** Before it is booted, with the network of this machine: as an image is made, where systemd does not run. */
  async unbooted(...command: string[]): Promise<Ran> {
    // Where this machine trusts an authority of its own, the way to a registry leads through it.
    const network = ["/etc/resolv.conf", AUTHORITIES].filter((file) => existsSync(file));
    const { code, text } = await run([
      "systemd-nspawn",
      "-q",
      "-D",
      this.root,
      "--register=no",
      "--keep-unit",
      "--pipe",
      "--resolv-conf=off",
      `--setenv=NODE_EXTRA_CA_CERTS=${AUTHORITIES}`,
      ...network.map((file) => `--bind-ro=${file}`),
      ...command,
    ]);
    // Of its own, where it is itself in a container.
    return { code, text: text.replace(/^Attempted to remove disk file system .*\n/m, "") };
  }

  async boot(): Promise<void> {
    const own = ["--register=no", "--keep-unit", "--private-network", "--console=read-only"];
    const box = spawn("systemd-nspawn", ["-q", "-D", this.root, ...own, "--boot"], {
      stdio: "ignore",
      detached: true,
    });
    this.#box = box;
    await eventually(
      async () => {
        this.#init = childOf(box.pid ?? 0) ?? 0;
        return (
          this.#init > 0 &&
          /running|degraded/.test((await this.inside("systemctl", "is-system-running")).text)
        );
      },
      "the machine to be up",
      200_000,
    );
  }

  /** As root, in the machine that runs. */
  inside(...command: string[]): Promise<Ran> {
    return run(["nsenter", "-t", String(this.#init), "-a", ...CLEAN, ...command]);
  }

  /** @throws with what it said, where it does not end with 0 */
  async doneInside(...command: string[]): Promise<string> {
    const { code, text } = await this.inside(...command);
    if (code !== 0) throw new Error(`${command.join(" ")} ended with ${code}:\n${text}`);
    return text;
  }

  path(inside: string): string {
    return join(this.root, inside);
  }

  async powerOff(): Promise<void> {
    const box = this.#box;
    if (box === null) return;
    this.#box = null;
    const gone = box.exitCode !== null ? null : once(box, "exit");
    await this.inside("systemctl", "poweroff");
    await gone;
  }

  async remove(): Promise<void> {
    await this.powerOff();
    await done(["rm", "-rf", this.root]);
  }
}

/** The container's first process, whose namespaces are the machine's. */
function childOf(pid: number): number | null {
  for (const task of readdirSync(`/proc/${pid}/task`)) {
    const children = readFileSync(`/proc/${pid}/task/${task}/children`, "utf8").trim();
    if (children !== "") return Number(children.split(" ")[0]);
  }
  return null;
}
