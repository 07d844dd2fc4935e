import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { LINE } from "./device-bench.js";
import { Guest } from "./guest.js";
import { GuestDrivers, patiently } from "./guest-drivers.js";
import { CHIP_LABEL, SimLines, TAKEN_LINE } from "./sim-lines.js";

/** A root of the kernel's files that lacks /sys/class/gpio, as kernels without CONFIG_GPIO_SYSFS do. */
const WITHOUT_SYSFS = "/tmp/sys";
const LID = "lid-switch state";
const ENTRIES = {
  output: { line: "bench-lamp" },
  sources: [
    { id: "lid-switch", driver: "digital-input", line: "lid", every_s: 2 },
    { id: "air-switch", driver: "digital-input", line: LINE.air },
    { id: "taken-line", driver: "digital-input", line: TAKEN_LINE },
    {
      ...{ id: "spare-contact", driver: "digital-input", line: LINE.spare, bias: "pull-up" },
      ...{ active_low: true, every_s: 5 },
    },
  ],
} as const;

describe("GPIO lines through the character devices and the tools of gpiod, on a real kernel", () => {
  let guest: Guest;
  let lines: SimLines;
  let drivers: GuestDrivers;

  beforeAll(async () => {
    guest = await Guest.boot();
    lines = await SimLines.make(guest);
    await lines.pull(LINE.air, 1);
    await lines.pull(LINE.spare, 0);
    await guest.mustRun(`
      mkdir -p ${WITHOUT_SYSFS}/class
      ln -s /sys/[!c]* ${WITHOUT_SYSFS}/
      ln -s $(ls -d /sys/class/* | grep -v 'class/gpio$') ${WITHOUT_SYSFS}/class/`);
    drivers = await GuestDrivers.load(guest, ENTRIES, WITHOUT_SYSFS);
  });
  afterAll(() => guest?.remove());

  it("check says which way each line has, and why", async () => {
    const of = await drivers.check();
    const where = (line: number) => `${CHIP_LABEL}, line ${line} of /dev/${lines.chip}, by gpiod 1`;
    const through = (why: string) => `(through /dev/gpiochip…, because ${why})`;
    expect(of("lid-switch")).toMatchObject({
      ok: true,
      found: `${where(LINE.lid)} ${through("the line is given by its name, which sysfs does not show")}; the level is low, which means off`,
    });
    expect(of("air-switch")).toMatchObject({
      ok: true,
      found: `${where(LINE.air)} ${through("this kernel has no /sys/class/gpio")}; the level is high, which means on`,
    });
    // Nothing but the resistor that is asked for pulls this line up.
    expect(of("spare-contact")).toMatchObject({
      ok: true,
      found: `${where(LINE.spare)} ${through("a bias is asked for, which sysfs cannot set")}; the level is high, which means off`,
    });
    expect(of("taken-line")?.found).toContain("it is in use, by kernel-driver");
    expect(await guest.mustRun("gpioinfo")).not.toContain("gpiomon");
    // The resistor of the check was the check's own.
    await lines.pull(LINE.spare, 0);
    await drivers.begin();
  });

  it("edges become readings, a line that is taken is busy, and an open contact reads high by its pull-up", async () => {
    await drivers.sees(LID, 0);
    for (const level of [1, 0] as const) {
      await lines.pull(LINE.lid, level);
      await drivers.sees(LID, level);
    }
    await drivers.sees("air-switch state", 1);
    await drivers.sees("taken-line state", "busy");
    await drivers.sees("spare-contact state", 0);
    expect(await guest.read(lines.file(LINE.spare, "pull"))).toBe("pull-up\n");
  });

  it("an edge has the moment at which the kernel saw it, though the thread comes to it much later", async () => {
    await drivers.sees(LID, 0);
    await patiently(async () => {
      await drivers.signal("SIGSTOP");
      // A look at the line may have begun by then: its gpiomon is told to end, and nobody hears the edge.
      if ((await drivers.standsStill()) && (await lines.listens(LINE.lid))) return true;
      await drivers.signal("SIGCONT");
      return false;
    }, "the thread to stand still with its line watched");
    const { before, after } = await lines.pull(LINE.lid, 1);
    // Longer than from one look to the next.
    await guest.mustRun("sleep 3");
    await drivers.signal("SIGCONT");
    const { since } = await drivers.sees(LID, 1);
    expect(since).toBeGreaterThanOrEqual(Math.floor(before));
    expect(since).toBeLessThanOrEqual(after);
  });

  it("a gpiomon that is killed is noticed, and the line taken up again", async () => {
    const lost = async () => (await drivers.source("lid-switch")).dropped["read-error"] ?? 0;
    const before = await lost();
    // Again and again: one that was being ended for a look at the line is not missed.
    await patiently(async () => {
      await guest.run(`pkill -KILL -f "${lines.monitorOf(LINE.lid)}"`);
      return (await lost()) > before;
    }, "the loss to be noticed");
    await patiently(() => lines.isWatched(LINE.lid), "the line to be watched again");
    await lines.pull(LINE.lid, 0);
    await drivers.sees(LID, 0);
  });

  it("drives its lamp, and no tool of a killed station holds a line", async () => {
    for (const on of [true, false, true]) {
      await drivers.put(on);
      await lines.becomes(LINE.lamp, on ? 1 : 0);
    }
    await patiently(
      async () => /"bench-lamp" +"gpioset" +output .*\[used\]/.test(await lines.info(LINE.lamp)),
      "the lamp to be held",
    );
    await patiently(() => lines.isWatched(LINE.lid), "the line to be watched");
    await drivers.end("SIGKILL");
    await lines.becomes(LINE.lamp, 0);
    const held = async () => /gpiomon|gpioset/.test(await guest.mustRun(`gpioinfo ${lines.chip}`));
    await patiently(async () => !(await held()), "the lines to be free");
  });
});
