import { setImmediate as turn } from "node:timers/promises";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { describe, expect, it } from "vitest";
import { AppError } from "../../../station/errors.js";
import { bench, EPOCH } from "./desk-bench.js";

describe("the run desk", () => {
  it("opens a run with the laser, and freezes it as it was when the laser went off", async () => {
    const { desk, at, send, tick, ended } = bench();
    send("water", 20);
    at(2_000);
    send("laser", 1);
    at(6_000);
    send("laser", 0);
    at(7_000);
    // After the end: must not show in the stamp.
    send("water", 30);
    at(8_500);
    tick();
    await desk.shutDown();
    expect(ended).toHaveLength(1);
    expect(ended[0]).toMatchObject({ number: 41, startMono: 2_000, endMono: 6_000, endCause: "laser-on" });
    expect(ended[0]?.stamp?.channels.water).toMatchObject({ max: 20, mean: 20, goodShare: 1 });
    expect(ended[0]?.stamp?.flags).toEqual([]);
    expect(ended[0]?.stamp).toMatchObject({
      opticsHours: 3,
      clockAtStart: "synchronised",
      startWall: EPOCH + 2_000,
    });
  });

  it("holds on to no run that is over and kept, for as long as it runs", async () => {
    setFlagsFromString("--expose-gc");
    const collect = runInNewContext("gc") as () => void;
    const { desk, at, begun, ended } = bench();
    for (let i = 1; i <= 3; i += 1) {
      at(i * 10_000);
      const { id } = desk.begin().run;
      at(i * 10_000 + 5_000);
      await desk.end(id).kept;
    }
    begun.length = 0;
    const runs = ended.splice(0).map((run) => new WeakRef(run));
    expect(runs).toHaveLength(3);
    await turn();
    collect();
    expect(runs.map((run) => run.deref()?.number)).toEqual([undefined, undefined, undefined]);
  });

  it("stamps the true window where the news of the laser comes late", async () => {
    const { desk, at, send, tick, ended } = bench();
    send("water", 20);
    at(2_100);
    send("water", 25);
    // It went on at 1500, before the water was seen warm, and off at 2050.
    at(2_200);
    send("laser", 1, 700);
    at(2_300);
    send("laser", 0, 250);
    at(6_000);
    send("water", 30);
    tick();
    await desk.shutDown();
    expect(ended[0]).toMatchObject({ startMono: 1_500, endMono: 2_050 });
    expect(ended[0]?.stamp?.channels.water).toMatchObject({ min: 20, max: 20, mean: 20, goodShare: 1 });
    expect(ended[0]?.stamp?.flags).toEqual([]);
  });

  it("says that the coolant was seen outside, without a number, where too little of the run has good data", async () => {
    const { desk, at, send, tick } = bench();
    send("water", 25);
    const { id } = desk.begin().run;
    at(60_000);
    tick();
    const { stamp } = await desk.end(id).kept;
    const flag = stamp?.flags.find((each) => each.flag === "coolant-out-of-range");
    expect(flag).toMatchObject({ excursion: null, seconds: null });
    expect(flag?.text).not.toMatch(/\d/);
  });

  it("leaves the beam alone while that is not to begin runs, and lets it end one that it has begun", () => {
    let begins = true;
    const at = bench({ beamBegins: () => begins });
    at.send("laser", 1);
    expect(at.desk.current()?.cause).toBe("laser-on");
    begins = false;
    at.at(5_000);
    at.send("laser", 0);
    at.at(8_000);
    at.tick();
    expect(at.desk.current()).toBeNull();
    at.send("laser", 1);
    expect(at.desk.current()).toBeNull();
    at.send("laser", 0);
    begins = true;
    at.at(9_000);
    at.send("laser", 1);
    expect(at.desk.current()?.cause).toBe("laser-on");
  });

  it("flags coolant above and below the range with how far and how long", async () => {
    const { desk, at, send } = bench();
    send("water", 20);
    desk.setJobSheet({ material: "MDF" }, { wall: 0, mono: 0 });
    const begun = desk.begin().run;
    at(3_000);
    send("water", 22.5);
    at(5_000);
    send("water", 15.75);
    at(6_000);
    send("water", 18);
    at(7_000);
    const run = await desk.end(begun.id).kept;
    expect(run.stamp?.flags).toEqual([
      {
        flag: "coolant-out-of-range",
        text: "Coolant in was above 21 °C for 2.0 s, up to 22.5 °C (1.5 °C over), and below 16 °C for 1.0 s, down to 15.75 °C (0.25 °C under).",
        excursion: 1.5,
        seconds: 3,
      },
    ]);
    expect(run.settings).toEqual({ material: "MDF" });
  });

  it("says conditions unknown, with no number, where the probe was dead for too long", async () => {
    const { desk, at, send, tick } = bench();
    send("water", 20);
    const { id } = desk.begin().run;
    at(60_000);
    tick();
    const { stamp } = await desk.end(id).kept;
    expect(stamp?.channels.water).toMatchObject({
      known: false,
      mean: null,
      min: null,
      max: null,
      first: null,
      last: null,
    });
    expect(stamp?.flags[0]).toMatchObject({ flag: "conditions-unknown" });
    expect(stamp?.flags[0]?.text).toMatch(/good data for 8 % of the run, and 80 % is asked for/);
  });

  it("flags a run in which the extraction stood still", async () => {
    const { desk, at, send } = bench();
    send("water", 20);
    send("fan", 1);
    const { id } = desk.begin().run;
    at(2_000);
    send("fan", 0);
    at(5_000);
    send("water", 20);
    at(5_500);
    const { stamp } = await desk.end(id).kept;
    expect(stamp?.flags).toEqual([
      {
        flag: "extraction-stopped",
        text: "Extraction stood still for 3.5 s of the run.",
        excursion: null,
        seconds: 3.5,
      },
    ]);
  });

  it("gives a run what a plan asks for, and keeps what was entered until no plan asks for anything", async () => {
    const { desk } = bench();
    const at = (wall: number) => ({ wall, mono: wall });
    desk.setJobSheet({ material: "Offcut", specimen: "mine" }, at(5));
    desk.askFor({ material: "Board", specimen: "AAAAA" }, at(6));
    desk.askFor({ specimen: "AAAAA", material: "Board" }, at(7));
    expect([desk.jobSheet(), desk.jobSheetWall()]).toEqual([{ material: "Board", specimen: "AAAAA" }, 6]);
    const { run } = desk.begin();
    expect(run.settings).toEqual({ material: "Board", specimen: "AAAAA" });
    // Two pieces never take one code.
    expect(desk.jobSheet()).toEqual({ material: "Board" });
    desk.askFor(null, at(8));
    expect([desk.jobSheet(), desk.jobSheetWall()]).toEqual([{ material: "Offcut", specimen: "mine" }, 5]);
    await desk.end(run.id).kept;
    expect((await desk.begin().kept).settings).toEqual({ material: "Offcut", specimen: "mine" });
    expect(desk.entered()).toEqual({ material: "Offcut" });
    // As an older page has it, which saw a piece of the plan that was cut since.
    desk.askFor({ specimen: "CCCCC" }, at(9));
    desk.setJobSheet({ material: "Board", specimen: "AAAAA" }, at(10));
    expect(desk.entered()).toEqual({ material: "Board" });
  });

  it("refuses a second run, an end of none and an end of another", async () => {
    const { desk } = bench();
    expect(() => desk.end("x")).toThrow(expect.objectContaining({ code: "run-not-open" }));
    const { run } = desk.begin();
    expect(() => desk.begin()).toThrow(expect.objectContaining({ code: "run-open" }));
    expect(() => desk.end("x")).toThrow(AppError);
    expect(desk.current()?.id).toBe(run.id);
  });

  it("ends a run whose laser is off already where it went off, when the station is shut down", async () => {
    const { desk, at, send, ended } = bench();
    send("water", 20);
    at(2_000);
    send("laser", 1);
    at(10_000);
    send("laser", 0);
    at(11_000);
    send("water", 30);
    await desk.shutDown();
    expect(ended[0]).toMatchObject({ endMono: 10_000, endCause: "laser-on" });
    expect(ended[0]?.stamp?.flags.map(({ flag }) => flag)).not.toContain("coolant-out-of-range");
  });

  it("closes an open run when the station is shut down, and says so", async () => {
    const { desk, at, send, ended } = bench();
    send("water", 20);
    desk.begin();
    at(4_000);
    await desk.shutDown();
    expect(ended[0]).toMatchObject({ endCause: "station-stopped", endMono: 4_000 });
    expect(ended[0]?.stamp?.flags.map(({ flag }) => flag)).toEqual(["interrupted"]);
  });
});
