import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { ask, type Refusal } from "../../../ui/src/link/ask.js";
import { patience } from "../../../ui/src/link/patience.js";

beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  vi.unstubAllGlobals();
  vi.useRealTimers();
});

describe("patience", () => {
  it("runs out after its time, and not before", () => {
    const waiting = patience(1000);
    vi.advanceTimersByTime(999);
    expect([waiting.signal.aborted, waiting.ranOut()]).toEqual([false, false]);
    vi.advanceTimersByTime(1);
    expect([waiting.signal.aborted, waiting.ranOut()]).toEqual([true, true]);
  });

  it("ends with the signal that was given, before or later, and says that it was not the time", () => {
    const before = AbortSignal.abort();
    const given = new AbortController();
    const later = patience(1000, given.signal);
    expect(patience(1000, before).signal.aborted).toBe(true);
    expect(later.signal.aborted).toBe(false);
    given.abort();
    expect([later.signal.aborted, later.ranOut()]).toEqual([true, false]);
  });

  it("leaves no timer and no listener behind", () => {
    const given = new AbortController();
    const waiting = patience(1000, given.signal);
    waiting.end();
    expect(vi.getTimerCount()).toBe(0);
    given.abort();
    expect(waiting.signal.aborted).toBe(false);
  });
});

describe("a question to the station", () => {
  const refused = async (answer: (signal: AbortSignal) => Promise<unknown>) => {
    vi.stubGlobal("fetch", (_: string, { signal }: { signal: AbortSignal }) => answer(signal));
    const asked = ask.now().catch((refusal: Refusal) => refusal.message);
    await vi.advanceTimersByTimeAsync(15_000);
    return asked;
  };
  const givenUp = (signal: AbortSignal) =>
    new Promise((_, reject) => signal.addEventListener("abort", () => reject(new Error("aborted"))));

  it("that is not answered in time tells a busy station from one that is not there", async () => {
    expect(await refused(givenUp)).toMatch(/within 15 s/);
    expect(await refused(() => Promise.reject(new TypeError("no way")))).toMatch(/did not answer/);
  });

  it("whose answer breaks off in the middle is refused, too", async () => {
    expect(await refused(async (signal) => ({ ok: true, json: () => givenUp(signal) }))).toMatch(
      /within 15 s/,
    );
    expect(vi.getTimerCount()).toBe(0);
  });

  it("takes the words of a problem", async () => {
    const problem = { title: "Busy", detail: "Come back later.", status: 503 };
    expect(await refused(async () => ({ ok: false, status: 503, json: async () => problem }))).toBe(
      "Come back later.",
    );
  });
});
