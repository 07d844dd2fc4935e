import { spawn } from "node:child_process";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { expect, it, vi } from "vitest";
import { BenchGpiod } from "../sources/bench-gpiod.js";

it("no tool that holds a line outlives a station that is killed: a lamp would go on burning, and the line stay taken", async () => {
  const bench = new BenchGpiod(2);
  const until = (is: () => boolean) => vi.waitFor(() => expect(is()).toBe(true), { timeout: 20_000 });
  const module = pathToFileURL(join(import.meta.dirname, "../../.build/station/sources/gpio/gpiod-tools.js"));
  const script = `import { installedTools } from ${JSON.stringify(String(module))};
installedTools(${JSON.stringify(`${bench.folder}:${process.env.PATH}`)}).hold("gpioset", ["-c", "gpiochip0", "6=1"], () => {});
setInterval(() => {}, 1000);`;
  const station = spawn(process.execPath, ["--input-type=module", "-e", script], { stdio: "ignore" });
  try {
    await until(() => bench.holder(6) !== null);
    station.kill("SIGKILL");
    await until(() => bench.holder(6) === null);
  } finally {
    station.kill("SIGKILL");
    bench.remove();
  }
});
