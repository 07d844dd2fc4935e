import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { startHeartbeat } from "../../../station/outward/heartbeat.js";

const MINUTE = 60_000;
const entry = { url: "https://beat.example/in?key=12345", every_min: 5 };
const asked = vi.fn<typeof fetch>();

beforeEach(() => {
  vi.useFakeTimers({ toFake: ["setInterval", "clearInterval"] });
  asked.mockReset().mockImplementation(async () => new Response("thanks"));
  vi.stubGlobal("fetch", asked);
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

it("beats at once and every so many minutes, follows nobody elsewhere, and no more once it is stopped", async () => {
  const heart = startHeartbeat(entry, () => true);
  expect(asked).toHaveBeenCalledTimes(1);
  expect(asked).toHaveBeenCalledWith(entry.url, expect.objectContaining({ redirect: "manual" }));
  await vi.advanceTimersByTimeAsync(5 * MINUTE - 1);
  expect(asked).toHaveBeenCalledTimes(1);
  await vi.advanceTimersByTimeAsync(1);
  expect(asked).toHaveBeenCalledTimes(2);
  heart.stop();
  await vi.advanceTimersByTimeAsync(60 * MINUTE);
  expect(asked).toHaveBeenCalledTimes(2);
});

it("does not beat while the station is not well, and does again when it is", async () => {
  let well = false;
  const heart = startHeartbeat(entry, () => well);
  await vi.advanceTimersByTimeAsync(10 * MINUTE);
  expect(asked).not.toHaveBeenCalled();
  well = true;
  await vi.advanceTimersByTimeAsync(5 * MINUTE);
  expect(asked).toHaveBeenCalledTimes(1);
  heart.stop();
});

it("goes on after whoever listens was not there", async () => {
  asked.mockRejectedValueOnce(new Error("nothing listens"));
  const heart = startHeartbeat(entry, () => true);
  await vi.advanceTimersByTimeAsync(5 * MINUTE);
  expect(asked).toHaveBeenCalledTimes(2);
  heart.stop();
});
