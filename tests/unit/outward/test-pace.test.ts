import { expect, it } from "vitest";
import { AppError } from "../../../station/errors.js";
import { createTestPace } from "../../../station/outward/test-pace.js";

function codeOf(ask: () => void): string | null {
  try {
    ask();
    return null;
  } catch (error) {
    if (error instanceof AppError) return error.code;
    throw error;
  }
}

it("a way is tried once in half a minute, one test at a time, and each way by itself", () => {
  const pace = createTestPace();
  pace.begin("mail", 1000);
  expect(codeOf(() => pace.begin("mail", 1500))).toBe("way-test-running");
  expect(codeOf(() => pace.begin("webhook", 1500))).toBeNull();
  pace.end("mail");
  expect(codeOf(() => pace.begin("mail", 2000))).toBe("way-test-too-soon");
  expect(() => pace.begin("mail", 2000)).toThrow(/in 29 s/);
  expect(codeOf(() => pace.begin("mail", 30_999))).toBe("way-test-too-soon");
  // What was refused does not put the next one off.
  expect(codeOf(() => pace.begin("mail", 31_000))).toBeNull();
  // However long it takes, no second one is sent beside it.
  expect(codeOf(() => pace.begin("mail", 90_000))).toBe("way-test-running");
});
