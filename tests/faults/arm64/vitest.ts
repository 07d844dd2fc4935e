import { defineConfig } from "vitest/config";
import { Arm64Worker } from "./worker.js";

/** An emulated processor on a busy machine: no test says there how fast anything is. */
const LONG_MS = 3_600_000;

/** For tests whose worker is on arm64; Vitest itself runs here, and gets the files ready. */
export default defineConfig({
  test: {
    include: ["tests/{unit,published}/**/*.test.ts"],
    pool: { name: "arm64", createPoolWorker: (options) => new Arm64Worker(options) },
    // To start a process takes an emulated processor longer than most files do.
    maxWorkers: 1,
    isolate: false,
    setupFiles: "tests/faults/arm64/there.ts",
    testTimeout: LONG_MS,
    hookTimeout: LONG_MS,
    expect: { poll: { timeout: 60_000 } },
  },
});
