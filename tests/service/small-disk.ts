import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { createInterface } from "node:readline";
import { temporaryFolder } from "./station-process.js";

/**
 * A real disk of a few megabytes, mounted where only a process in its namespace sees it: nobody has to be root for it, it
 * stands in nobody's way, and it goes with the shell that holds it.
 */
export interface SmallDisk {
  readonly folder: string;
  /** What goes before a command that is to see the disk. */
  readonly through: readonly string[];
  /** Carries out a shell command on it. @throws where that fails */
  run(command: string): Promise<string>;
  /** Fills it up, but for so many bytes. */
  fillUp(leave: number): Promise<void>;
  /** Takes away what `fillUp` put there. */
  makeRoom(): Promise<void>;
  readOnly(on: boolean): Promise<void>;
  remove(): Promise<void>;
}

/** How a disk is mounted; `$D` is where. */
interface Kind {
  readonly unshare: readonly string[];
  readonly enter: readonly string[];
  readonly mount: (bytes: number) => string;
}

/** In memory; in a user namespace, where anybody may mount. */
export const IN_MEMORY: Kind = {
  unshare: ["-rm"],
  enter: ["-U", "-m", "--preserve-credentials"],
  mount: (bytes) => `mount -t tmpfs -o size=${bytes} none $D`,
};

/** A file system of the kind that cards have, in a file; only root may mount that. It can be frozen. */
export const IN_A_FILE: Kind = {
  unshare: ["-m"],
  enter: ["-m"],
  mount: (bytes) => `truncate -s ${bytes} $D.img && mkfs.ext4 -q $D.img && mount -o loop $D.img $D`,
};

/** Why there can be no such disk on this machine, in words for the name of the tests; null where there can. */
export function whyNone({ unshare, mount }: Kind): string | null {
  const { folder, remove } = temporaryFolder();
  try {
    const script = `D=${folder}; { ${mount(16e6)}; } && { fsfreeze --version >&2 || true; } && umount $D`;
    const tried = spawnSync("unshare", [...unshare, "sh", "-c", script], { encoding: "utf8" });
    if (tried.status === 0) return null;
    const why = tried.error?.message ?? tried.stderr.trim().split("\n")[0];
    return `NOT RUN, this user may mount no such disk here: ${why}`;
  } finally {
    spawnSync("rm", ["-rf", folder, `${folder}.img`]);
    remove();
  }
}

export async function smallDisk(kind: Kind, bytes: number): Promise<SmallDisk> {
  const { folder, remove } = temporaryFolder();
  const holder = spawn("unshare", [...kind.unshare, "sh"], { stdio: ["pipe", "pipe", "pipe"] });
  const shell = talkTo(holder);
  const run = (command: string) => shell(`D=${folder}; ${command}`);
  await run(kind.mount(bytes));
  return {
    folder,
    through: ["nsenter", "-t", String(holder.pid), ...kind.enter],
    run,
    async fillUp(leave) {
      const free = Number(await run("df -B1 --output=avail $D | tail -n 1"));
      await run(`head -c ${free - leave} /dev/zero > $D/filling`);
    },
    makeRoom: async () => void (await run("rm $D/filling")),
    readOnly: async (on) => void (await run(`mount -t tmpfs -o remount,${on ? "ro" : "rw"} none $D`)),
    async remove() {
      await run("umount -l $D");
      await new Promise((gone) => {
        holder.once("exit", gone);
        holder.stdin?.end();
      });
      spawnSync("rm", ["-f", `${folder}.img`]);
      remove();
    },
  };
}

/** One command at a time; what it prints, once it has ended well. */
function talkTo(holder: ChildProcess): (command: string) => Promise<string> {
  let printed: string[] = [];
  let errors = "";
  let heard: (status: number) => void = () => {};
  holder.stderr?.on("data", (data: Buffer) => {
    errors += data.toString();
  });
  createInterface({ input: holder.stdout as NodeJS.ReadableStream }).on("line", (line) => {
    const ended = /^=ended=(\d+)$/.exec(line);
    if (ended === null) printed.push(line);
    else heard(Number(ended[1]));
  });
  holder.once("exit", () => heard(-1));
  return async (command) => {
    printed = [];
    errors = "";
    const status = await new Promise<number>((resolve) => {
      heard = resolve;
      holder.stdin?.write(`{ ${command}; }; echo "=ended=$?"\n`);
    });
    if (status !== 0) throw new Error(`${command}: ended with ${status}. ${errors}`);
    return printed.join("\n");
  };
}
