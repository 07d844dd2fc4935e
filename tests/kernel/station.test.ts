import { afterAll, beforeAll, expect, it } from "vitest";
import type { Run } from "../../station/model/run.js";
import { LINE } from "./device-bench.js";
import { Guest } from "./guest.js";
import { patiently } from "./guest-drivers.js";
import { GuestStation } from "./guest-station.js";
import { SimLines } from "./sim-lines.js";
import { UsbBoard, usbPort } from "./usb-board.js";
import { W1Bus } from "./w1-bus.js";

const AT_ONCE = { on_delay_s: 0, off_delay_s: 0 };
/** As seldom as may be: what a test sees of a line comes of its edge. */
const LOOK_EVERY_S = 60;

let guest: Guest;
let lines: SimLines;
let probes: W1Bus;
let board: UsbBoard;
let config: object;
let station: GuestStation;

beforeAll(async () => {
  guest = await Guest.boot({ qemu: usbPort });
  lines = await SimLines.make(guest);
  await lines.pull(LINE.air, 1);
  probes = await W1Bus.make(guest);
  await probes.set(0, "millidegrees", 18_500);
  board = new UsbBoard(guest, guest.folder);
  await board.ready();
  await board.plugIn();
  config = stationYaml(probes.ids[0] ?? "", await board.path());
  station = await GuestStation.start(guest, config);
});
afterAll(async () => {
  board?.unplug();
  await guest?.remove();
});

const run = () => patiently(async () => (await station.now()).run, "the run");

/** The run as the journal has it, once it has its stamp. */
const ended = ({ id }: Run) =>
  patiently(async () => {
    const kept = await station.get<Run>(`/api/runs/${id}`);
    return kept.stamp === null ? null : kept;
  }, "the run's stamp");

it("a run begins and ends with the laser; an extraction that stops in it raises the alarm and lights the lamp", async () => {
  await station.sees("air", 1);
  const { before } = await lines.pull(LINE.laser, 1);
  const open = await run();
  expect(open.cause).toBe("laser-on");
  expect(open.startMono).toBeGreaterThanOrEqual(Math.floor(before));
  expect(await lines.level(LINE.lamp)).toBe(0);
  await lines.pull(LINE.air, 0);
  await station.raised("extraction-stopped");
  await lines.becomes(LINE.lamp, 1);
  await lines.pull(LINE.air, 1);
  await station.returned("extraction-stopped");
  await lines.becomes(LINE.lamp, 0);
  await lines.pull(LINE.laser, 0);
  await patiently(async () => (await station.now()).run === null, "the end of the run");
  expect(await ended(open)).toMatchObject({ number: 1, endCause: "laser-on" });
});

it("a probe and a board that are pulled raise their alarms, which return when they are back", async () => {
  await station.sees("water", 18.5);
  await station.sees("flow", 4);
  await probes.set(0, "present", 0);
  board.unplug();
  await station.raised("sensor-dead:water");
  await station.raised("board-silent:board");
  await patiently(async () => !(await board.plugged()), "the kernel to have taken the port away");
  await probes.set(0, "present", 1);
  await board.plugIn();
  await station.returned("sensor-dead:water");
  await station.returned("board-silent:board");
});

it("killed, it leaves its lamp on, and the next start has it in hand and has not forgotten the alarm", async () => {
  await station.sees("air", 1);
  await lines.pull(LINE.laser, 1);
  const open = await run();
  await lines.pull(LINE.air, 0);
  await lines.becomes(LINE.lamp, 1);
  // The lamp does not wait for the disk; what is not forgotten is what the journal has.
  await station.keeps("extraction-stopped", "unacknowledged", open);
  await station.kill();
  expect(await lines.level(LINE.lamp)).toBe(1);
  await lines.pull(LINE.laser, 0);
  await lines.pull(LINE.air, 1);
  station = await GuestStation.start(guest, config);
  await station.sees("air", 1);
  expect(await ended(open)).toMatchObject({ number: 2, endCause: "station-failed" });
  expect(await station.alarmState("extraction-stopped")).toMatch(/unacknowledged$/);
  await lines.becomes(LINE.lamp, 1);
  await station.returned("extraction-stopped");
  await lines.becomes(LINE.lamp, 0);
});

function stationYaml(probe: string, board: string): object {
  const contact = (id: string, line: number) => ({
    ...{ id, driver: "digital-input", line, every_s: LOOK_EVERY_S },
  });
  return {
    station: { name: "Kernel bench" },
    coolant_range: { low: 16, high: 21 },
    runs: { join_gap_s: 0.5 },
    alarms: { "extraction-stopped": AT_ONCE, "sensor-dead": AT_ONCE, "board-silent": AT_ONCE },
    output_pin: { line: LINE.lamp },
    sources: [
      contact("laser-contact", LINE.laser),
      contact("air-switch", LINE.air),
      { id: "water-probe", driver: "kernel-1-wire", device: probe },
      { id: "board", driver: "serial", path: board, silent_after_s: 60 },
    ],
    channels: [
      { id: "laser", kind: "laser-on", source: "laser-contact" },
      { id: "air", kind: "extraction-running", source: "air-switch" },
      { id: "water", kind: "coolant-inlet", source: "water-probe" },
      { id: "flow", kind: "coolant-flow", source: "board", point: "flow", stale_after_s: 120 },
      { id: "pedal", kind: "foot-switch", source: "board", point: "pedal", stale_after_s: 120 },
    ],
  };
}
