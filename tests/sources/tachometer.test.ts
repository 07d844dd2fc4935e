import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { Source } from "../../station/model/source.js";
import { createTachometer } from "../../station/sources/tachometer/device.js";
import { tachometerEntrySchema } from "../../station/sources/tachometer/entry.js";
import { BenchLines, errno, sysWithChips } from "./bench-lines.js";
import { Witness } from "./witness.js";

const LINE = 512 + 17;
const PLUG = 512 + 27;

let sysRoot: string;
let lines: BenchLines;
let witness: Witness;
let source: Source | null;
/** How long a look may take; short only where one is meant not to come back. */
let limitMs: number;
/** Milliseconds; moved by the test, so that pulses come at exactly the times it says. */
let mono: number;

const clock = {
  now: () => ({ wall: mono, mono }),
  bootId: "test",
  state: () => "synchronised" as const,
};

function create(more: object = {}): Source {
  const entry = tachometerEntrySchema.parse({ id: "fan", driver: "tachometer", line: 17, ...more });
  source = createTachometer({ ...entry, every_s: 0.005 }, { clock, sysRoot, gpio: lines.factory, limitMs });
  return source;
}

/** Runs the fan for so long, in the time of the test. */
function turn(ms: number, hz: number): void {
  const until = mono + ms;
  const period = 1000 / hz;
  for (let at = mono + period; at <= until; at += period) {
    mono = at;
    lines.move(LINE, 1);
    lines.move(LINE, 0);
  }
  mono = until;
}

async function begun(made: Source): Promise<void> {
  const open = witness.nextStatus((status) => status.state === "open");
  made.start(witness);
  await open;
}

beforeEach(() => {
  sysRoot = mkdtempSync(join(tmpdir(), "sys-"));
  sysWithChips(sysRoot);
  lines = new BenchLines();
  witness = new Witness();
  source = null;
  limitMs = 10_000;
  mono = 1000;
});

afterEach(async () => {
  await source?.stop();
  rmSync(sysRoot, { recursive: true });
});

describe("a tachometer", () => {
  test("says nothing before a window has passed, then 60 f / 2 for a fan", async () => {
    await begun(create());
    turn(1900, 10);
    expect(witness.readings).toEqual([]);
    const value = witness.nextValue("speed");
    turn(600, 10);
    expect(await value).toBeCloseTo(300, 6);
  });

  test("a stopped fan is a measurement: 0", async () => {
    await begun(create());
    turn(2500, 10);
    const still = witness.nextReading((raw) => "value" in raw && raw.value === 0);
    mono += 2001;
    expect(await still).toMatchObject({ unit: "1/min" });
  });

  test("flow: pulses per litre give L/min", async () => {
    await begun(create({ measures: "flow", pulses_per_unit: 450 }));
    const value = witness.nextValue("flow");
    turn(4000, 30);
    expect(await value).toBeCloseTo(4, 6);
  });

  test("above 40 pulses a second the value is doubted", async () => {
    await begun(create());
    const reading = witness.nextReading((raw) => "value" in raw);
    turn(2500, 100);
    expect(await reading).toMatchObject({ doubt: "edges-lost" });
  });

  test("missing: a wire test that is open, and a low line on a sensor that rests high", async () => {
    lines.levels.set(PLUG, 1);
    const made = create({ wire_test: 27 });
    made.start(witness);
    await witness.nextFault("wire-missing");
    expect(made.status().detail).toContain("plug is off");
    await made.stop();
    await begun(create({ idle_high: true }));
    const fault = witness.nextFault("wire-missing");
    mono += 2500;
    await fault;
  });

  test("missing: a line that is taken has its own words", async () => {
    lines.refuse = errno("EBUSY");
    const made = create();
    made.start(witness);
    await witness.nextFault("busy");
    expect(made.status().detail).toContain("taken");
  });

  test("unplugged while open: a lost line is bad; recovered: counting begins anew", async () => {
    const made = create();
    await begun(made);
    turn(2500, 10);
    await witness.nextValue("speed");
    lines.fail = errno("ENODEV");
    await witness.nextFault("missing");
    lines.fail = null;
    await witness.nextStatus((status) => status.state === "open");
    const value = witness.nextValue("speed");
    turn(2500, 20);
    expect(await value).toBeCloseTo(600, 6);
  });

  test("unplugged while open: the wire test opens, and the fan's 0 is no measurement any more", async () => {
    await begun(create({ wire_test: 27 }));
    turn(2500, 10);
    await witness.nextValue("speed");
    lines.move(PLUG, 1);
    await witness.nextFault("wire-missing");
    lines.move(PLUG, 0);
    await witness.nextValue("speed");
  });

  test("silent: a look that does not come back is timed out", async () => {
    limitMs = 60;
    const made = create();
    await begun(made);
    let release = () => {};
    lines.hang = new Promise((resolve) => {
      release = resolve;
    });
    await witness.nextFault("timed-out");
    expect(made.status().state).toBe("silent");
    lines.hang = null;
    release();
    await witness.nextStatus((status) => status.state === "open");
  });

  test("garbage: a storm of pulses is doubted and does not fill the memory", async () => {
    await begun(create());
    const reading = witness.nextReading((raw) => "value" in raw);
    turn(2500, 10_000);
    expect(await reading).toMatchObject({ doubt: "edges-lost" });
  });

  test("stop gives both lines back", async () => {
    const made = create({ wire_test: 27 });
    await begun(made);
    expect([...lines.taken.keys()]).toEqual([LINE, PLUG]);
    await made.stop();
    expect(lines.taken.size).toBe(0);
  });

  test("check says how fast a fan may turn here, and where to count a faster one", async () => {
    const findings = await create({ wire_test: 27 }).check();
    expect(findings[0]).toMatchObject({
      ok: true,
      found: expect.stringMatching(/Up to 1200 1\/min.*microcontroller/),
    });
    expect(findings[1]).toMatchObject({ ok: true, found: expect.stringContaining("plug is in") });
  });

  test("a flow sensor without its pulses per litre is refused", () => {
    const parsed = tachometerEntrySchema.safeParse({
      id: "flow",
      driver: "tachometer",
      line: 17,
      measures: "flow",
    });
    expect(parsed.error?.issues[0]?.path).toEqual(["pulses_per_unit"]);
  });
});
