import { describe, expect, it } from "vitest";
import { defineChannel } from "../../../station/channels/define.js";
import { AppError } from "../../../station/errors.js";
import type { ChannelEntry } from "../../../station/model/channel.js";
import { CHANNEL_KINDS, type ChannelKind } from "../../../station/model/quantity.js";
import { coolantEntry } from "./entries.js";

const kinds = Object.keys(CHANNEL_KINDS) as ChannelKind[];

function refusal(entry: ChannelEntry): AppError {
  try {
    defineChannel(entry);
  } catch (error) {
    if (error instanceof AppError) return error;
    throw error;
  }
  throw new Error("the entry was taken");
}

describe("defineChannel", () => {
  it("fills in what is left out", () => {
    expect(defineChannel(coolantEntry())).toEqual({
      id: "coolant-in",
      name: "Coolant in",
      kind: "coolant-inlet",
      unit: "Cel",
      source: "probe",
      point: null,
      calibration: null,
      valid: [-10, 90],
      resolution: 0.0625,
      expectedEveryS: 2,
      staleAfterS: 7,
      runningAt: null,
    });
  });

  it("keeps what is given", () => {
    const entry: ChannelEntry = {
      id: "duct",
      name: "Duct behind the filter",
      kind: "extraction-pressure",
      source: "board",
      point: "pressure",
      unit: "Pa",
      calibration: { offset: 3 },
      valid: [0, 500],
      resolution: 0.5,
      expected_every_s: 10,
      stale_after_s: 25,
      running_at: 45,
    };
    expect(defineChannel(entry)).toEqual({
      id: "duct",
      name: "Duct behind the filter",
      kind: "extraction-pressure",
      source: "board",
      point: "pressure",
      unit: "Pa",
      calibration: { offset: 3 },
      valid: [0, 500],
      resolution: 0.5,
      expectedEveryS: 10,
      staleAfterS: 25,
      runningAt: 45,
    });
  });

  it.each(kinds)("has a usable default for %s", (kind) => {
    const { form, unit, label } = CHANNEL_KINDS[kind];
    const definition = defineChannel({ id: "c", kind, source: "s" });
    expect(definition.unit).toBe(unit);
    expect(definition.name).toBe(label);
    expect(definition.valid[0]).toBeLessThan(definition.valid[1]);
    expect(definition.resolution).toBeGreaterThan(0);
    if (form === "state") expect(definition.valid).toEqual([0, 1]);
  });

  it.each([
    ["extraction-airflow", 0.5],
    ["extraction-pressure", 20],
    ["extraction-speed", 300],
    ["extraction-running", null],
    ["coolant-flow", null],
  ] as const)("takes %s as running from %s", (kind, runningAt) => {
    expect(defineChannel({ id: "c", kind, source: "s" }).runningAt).toBe(runningAt);
  });

  it.each([
    { every: 1, stale: 6 },
    { every: 2.5, stale: 7.5 },
    { every: 60, stale: 180 },
  ])("calls a channel of every $every s stale after $stale s", ({ every, stale }) => {
    expect(defineChannel(coolantEntry({ expected_every_s: every })).staleAfterS).toBe(stale);
  });

  it("freezes throughout and leaves the entry as it was", () => {
    const entry = coolantEntry({
      calibration: {
        points: [
          [0, 0.2],
          [50, 50.1],
        ],
      },
      valid: [0, 60],
    });
    const definition = defineChannel(entry);
    const { calibration } = definition;
    if (calibration === null || !("points" in calibration)) throw new Error("the points are lost");
    for (const part of [
      definition,
      definition.valid,
      calibration,
      calibration.points,
      ...calibration.points,
    ]) {
      expect(Object.isFrozen(part)).toBe(true);
    }
    expect(Object.isFrozen(entry.valid)).toBe(false);
    expect(Object.isFrozen(entry.calibration)).toBe(false);
  });

  it.each<{ what: string; entry: ChannelEntry; key: string }>([
    { what: "a unit the kind does not have", entry: coolantEntry({ unit: "Pa" }), key: "unit" },
    {
      what: "a calibrated switch",
      entry: { id: "c", kind: "lid-open", source: "s", calibration: { offset: 1 } },
      key: "calibration",
    },
    {
      what: "a valid range for a switch",
      entry: { id: "c", kind: "lid-open", source: "s", valid: [0, 2] },
      key: "valid",
    },
    { what: "running_at for a coolant", entry: coolantEntry({ running_at: 3 }), key: "running_at" },
    {
      what: "running_at for a switch",
      entry: { id: "c", kind: "extraction-running", source: "s", running_at: 1 },
      key: "running_at",
    },
    {
      what: "stale before the next is due",
      entry: coolantEntry({ expected_every_s: 30, stale_after_s: 20 }),
      key: "stale_after_s",
    },
  ])("refuses $what and says where", ({ entry, key }) => {
    const error = refusal(entry);
    expect(error.code).toBe("config-invalid");
    expect(error.message).toContain(key);
    expect(error.errors.map(({ path }) => path)).toEqual([`channels.${entry.id}.${key}`]);
  });
});
