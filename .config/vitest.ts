import { defineConfig } from "vitest/config";

/** What is polled for comes when a busy machine has come to it: half a minute, as a browser is waited for, and not one second. */
const expectations = { poll: { timeout: 30_000 } };

const project = (name: string, include: string[], more: object = {}) => ({
  test: { name, include, expect: expectations, ...more },
});

/** Suites that start a process, a browser or a terminal pair run one file at a time: a Pi has few cores to lend. */
const oneAtATime = { fileParallelism: false, testTimeout: 120_000, hookTimeout: 120_000 };

export default defineConfig({
  test: {
    projects: [
      project("unit", ["tests/unit/**/*.test.ts", "tests/published/**/*.test.ts"], { testTimeout: 120_000 }),
      project("sources", ["tests/sources/**/*.test.ts"], { testTimeout: 60_000 }),
      project("service", ["tests/service/**/*.test.ts"], oneAtATime),
      project("faults", ["tests/faults/**/*.test.ts"], { ...oneAtATime, testTimeout: 7_200_000 }),
      project("kernel", ["tests/kernel/**/*.test.ts"], {
        ...oneAtATime,
        testTimeout: 3_600_000,
        hookTimeout: 3_600_000,
      }),
      project("browser", ["tests/browser/**/*.test.ts"], oneAtATime),
    ],
  },
});
