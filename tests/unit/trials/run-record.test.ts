import { expect, it } from "vitest";
import { lastJobSheet } from "../../../station/trials/run-record.js";
import { recordOver } from "./record-bench.js";

it("keeps what was entered, and not what a running plan asks for in its place", async () => {
  const { record, desk, kept } = recordOver();
  desk.askFor({ material: "Board", specimen: "AAAAA" }, { wall: 1, mono: 1 });
  const own = { material: "Offcut", speed_mm_s: 40 };
  // What is answered is what the next run takes.
  expect((await record.setJobSheet(own)).value).toEqual({ material: "Board", specimen: "AAAAA" });
  const run = await record.begin({ material: "Other offcut" });
  expect(run.value.settings.specimen).toBe("AAAAA");
  expect(kept.map(({ old, new: now }) => [old, now])).toEqual([
    [{}, own],
    [own, { material: "Other offcut" }],
  ]);
  const last = kept.at(-1);
  const lastSetting = async () => ({ value: last?.new, wall: 7 });
  expect(await lastJobSheet({ lastSetting })).toEqual({ settings: { material: "Other offcut" }, wall: 7 });
});

it("says which run is open, whoever asks for another", async () => {
  const { record, desk } = recordOver();
  const { value } = await record.begin(null);
  const words = `Run ${value.number} is open: end it before beginning another.`;
  await expect(record.begin(null)).rejects.toThrow(words);
  expect(() => desk.begin()).toThrow(words);
});
