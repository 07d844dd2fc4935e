import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { BenchGpiod } from "../sources/bench-gpiod.js";

const until = (is: () => boolean) => vi.waitFor(() => expect(is()).toBe(true), { timeout: 60_000 });
let bench: BenchGpiod;
beforeEach(() => {
  bench = new BenchGpiod(2);
});
afterEach(() => bench.remove());

/** A process that has had a line of the bench taken, and goes on. */
function station(): ChildProcess {
  const module = pathToFileURL(join(import.meta.dirname, "../../.build/station/sources/gpio/gpiod-tools.js"));
  const path = `${bench.folder}:${process.env.PATH}`;
  const script = `import { installedTools } from ${JSON.stringify(String(module))};
installedTools(${JSON.stringify(path)}).hold("gpioset", ["-c", "gpiochip0", "6=1"], () => {});
setInterval(() => {}, 1000);`;
  return spawn(process.execPath, ["--input-type=module", "-e", script], {
    stdio: "ignore",
    env: { ...process.env, PATH: path },
  });
}

it("no tool that holds a line outlives a station that is killed: a lamp would go on burning, and the line stay taken", async () => {
  const killed = station();
  try {
    await until(() => bench.holder(6) !== null);
    killed.kill("SIGKILL");
    await until(() => bench.holder(6) === null);
  } finally {
    killed.kill("SIGKILL");
  }
});

it("nor does one take a line that had only just been started when the station was killed", async () => {
  // What comes first in the path is had: a setpriv that is as slow as on a machine with too much to do.
  const [begun, go] = [join(bench.folder, "begun"), join(bench.folder, "go")];
  const real = execFileSync("sh", ["-c", "command -v setpriv"], { encoding: "utf8" }).trim();
  const slow = `#!/bin/sh
echo $$ > ${begun}.new && mv ${begun}.new ${begun}
while [ ! -e ${go} ]; do sleep 0.05; done
exec ${real} "$@"
`;
  writeFileSync(join(bench.folder, "setpriv"), slow, { mode: 0o755 });
  const killed = station();
  try {
    await until(() => existsSync(begun));
    const command = `/proc/${Number(readFileSync(begun, "utf8"))}/cmdline`;
    const gone = once(killed, "exit");
    killed.kill("SIGKILL");
    await gone;
    writeFileSync(go, "");
    // What has ended, and was not asked for yet how, has no command line.
    const ended = () => !existsSync(command) || readFileSync(command, "utf8") === "";
    await until(() => ended() || bench.holder(6) !== null);
    expect(bench.holder(6)).toBeNull();
  } finally {
    killed.kill("SIGKILL");
  }
});
