// Loaded into a station before it starts: at SIGUSR2 it collects what is no longer used and writes down what is left.
import { writeFileSync } from "node:fs";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { isMainThread } from "node:worker_threads";

if (isMainThread && process.env.HEAP_FILE) {
  setFlagsFromString("--expose_gc");
  const collect = runInNewContext("gc");
  process.on("SIGUSR2", () => {
    collect();
    collect();
    const { heapUsed, external, rss } = process.memoryUsage();
    writeFileSync(
      process.env.HEAP_FILE,
      JSON.stringify({ heapUsed, external, rss, round: process.uptime() }),
    );
  });
}
