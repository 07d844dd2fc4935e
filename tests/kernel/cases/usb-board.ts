import { expect, it } from "vitest";
import { boardLine } from "../../service/bench-rig.js";
import type { DeviceBench } from "../device-bench.js";
import { patiently } from "../guest-drivers.js";

const FLOW = "board flow";

/** A board on a USB serial converter, which is plugged in and pulled out. */
export function usbBoardCases(bench: () => DeviceBench): void {
  it("what it sends is read, and a damaged line is counted and not believed", async () => {
    const { board, drivers } = bench();
    await drivers.sees(FLOW, 4);
    await drivers.sees("board pedal", 0);
    const damaged = async () => (await drivers.source("board")).dropped["wrong-crc"] ?? 0;
    const before = await damaged();
    board.send(boardLine([{ n: "flow", u: "l/min", v: 9 }]).replace('"v":9', '"v":8'));
    await patiently(async () => (await damaged()) > before, "the count");
    board.flow = 3.5;
    board.pedal = true;
    await drivers.sees(FLOW, 3.5);
    await drivers.sees("board pedal", 1);
  });

  it.each([2.5, 4.5])(
    "that is pulled out is noticed by its port, and is had again by its name, with %f L/min",
    async (flow) => {
      const { board, drivers } = bench();
      board.unplug();
      const lost = await patiently(async () => (await drivers.now()).told[FLOW]?.fault, "the loss");
      expect(["unplugged", "missing"]).toContain(lost);
      await drivers.sees(FLOW, "missing");
      expect(await drivers.source("board")).toMatchObject({ reason: "missing" });
      await patiently(async () => !(await board.plugged()), "the kernel to have taken the port away");
      board.flow = flow;
      await board.plugIn();
      await drivers.sees(FLOW, flow);
      expect(await drivers.source("board")).toMatchObject({ state: "open", reason: null });
    },
  );
}
