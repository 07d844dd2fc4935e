import { setImmediate as nextTurn } from "node:timers/promises";
import { MessageChannel } from "node:worker_threads";
import { expect, it } from "vitest";
import { keptWithin } from "../../../station/trials/kept.js";

it("what is not kept in time is told as it is for now", async () => {
  expect(await keptWithin(new Promise<string>(() => undefined), "for now", 1)).toEqual({
    ...{ value: "for now", kept: false },
  });
});

it("what is refused in time is refused", async () => {
  await expect(keptWithin(Promise.reject(new Error("full")), "for now", 60_000)).rejects.toThrow("full");
});

it("an answer that came while the station itself stood still is taken, though its time is over", async () => {
  // So that what is late by now is looked at before what has come, as after any turn of the loop.
  await nextTurn();
  const { port1, port2 } = new MessageChannel();
  const keeping = new Promise<string>((done) => port2.once("message", done));
  const kept = keptWithin(keeping, "for now", 1);
  port1.postMessage("on the disk");
  for (const began = performance.now(); performance.now() - began < 20; );
  expect(await kept).toEqual({ value: "on the disk", kept: true });
  port1.close();
});
