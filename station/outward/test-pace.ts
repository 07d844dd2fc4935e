import { AppError } from "../errors.js";
import type { Way } from "../model/notice.js";

/** This station's choice (common practice, no source): a mail server soon refuses whoever sends it test after test. */
const TEST_EVERY_MS = 30_000;

/** How often each way may be tried, so that nobody floods somebody's post box or receiver from a page. Knows no clock. */
export interface TestPace {
  /**
   * @param mono milliseconds
   * @throws AppError "way-test-running", "way-test-too-soon"
   */
  begin(way: Way, mono: number): void;
  end(way: Way): void;
}

export function createTestPace(): TestPace {
  const running = new Set<Way>();
  const begun = new Map<Way, number>();
  return {
    begin(way, mono) {
      if (running.has(way))
        throw new AppError(
          "way-test-running",
          "A test is being sent. Wait until it is done, then try again.",
        );
      const leftMs = (begun.get(way) ?? Number.NEGATIVE_INFINITY) + TEST_EVERY_MS - mono;
      if (leftMs > 0)
        throw new AppError(
          "way-test-too-soon",
          `A test was sent less than ${TEST_EVERY_MS / 1000} s ago. See whether it arrives, and try again in ${Math.ceil(leftMs / 1000)} s.`,
        );
      running.add(way);
      begun.set(way, mono);
    },
    end(way) {
      running.delete(way);
    },
  };
}
