import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { readConfig } from "../../../station/config.js";
import type { RoleChange } from "../../../station/model/setup.js";
import { editConfig } from "../../../station/setup/config-edit.js";
import { connectedLines, connectedProbes, connectedSensors } from "../../../station/setup/connected.js";
import { FIRST_CONFIG } from "../../../station/setup/first-config.js";
import { proposeRole, proposeTaking } from "../../../station/setup/propose.js";

const EXAMPLE = readFileSync("firmware-notes/station.example.yaml", "utf8");
type Given = Extract<RoleChange, { act: "give" }>;

const [known, fresh] = connectedProbes({
  probes: ["28-000000005a01", "28-0000abcdef02"],
  others: [],
}) as [ReturnType<typeof connectedProbes>[0], ReturnType<typeof connectedProbes>[0]];
const [room] = connectedSensors([
  {
    ...{
      subsystem: "hwmon" as const,
      name: "sht3x",
      path: "/sys/class/hwmon/hwmon3",
      address: null,
      told: true,
    },
    points: [
      { point: "temperature", unit: "Cel" },
      { point: "humidity", unit: "%RH" },
    ],
  },
]) as [ReturnType<typeof connectedSensors>[0]];
const listed = [{ label: "pinctrl-bcm2711", lines: 58, infos: [] }];
const chips = [
  {
    label: "pinctrl-bcm2711",
    lines: [17, 22].map((line) => ({ line, name: null, usedBy: null, caution: null })),
  },
];
const [beam, lid] = connectedLines(
  chips,
  listed,
  [
    { chip: "pinctrl-bcm2711", line: 17 },
    { chip: "pinctrl-bcm2711", line: 22 },
  ],
  null,
  [],
) as [ReturnType<typeof connectedLines>[0], ReturnType<typeof connectedLines>[0]];

const given = (more: Partial<Given>): Given => ({
  ...{ act: "give", key: "", point: "temperature", kind: "coolant-outlet", name: "Coolant out" },
  ...{ activeLow: false, first: null, ...more },
});
const in_ = (text: string) => readConfig(text, "station.yaml");
/** What the edits make of a text, as the station reads it. */
const made = (text: string, edits: Parameters<typeof editConfig>[1]) => in_(editConfig(text, edits));

describe("a role", () => {
  it("is a source and a channel where the thing is not in the file yet", () => {
    const { edits, notes } = proposeRole(given({}), fresh, in_(EXAMPLE));
    const { sources, channels } = made(EXAMPLE, edits);
    expect(sources.at(-1)).toMatchObject({ id: "coolant-out-probe", device: "28-0000abcdef02" });
    expect(channels.at(-1)).toMatchObject({
      ...{ id: "coolant-out", name: "Coolant out", kind: "coolant-outlet", source: "coolant-out-probe" },
      resolution: 0.0625,
    });
    expect(notes).toEqual([]);
  });

  it("begins the first file, with the station's name and the range from the manual", () => {
    const first = { name: "Back shed", low: 16, high: 21 };
    const { edits, notes } = proposeRole(given({ kind: "coolant-inlet", first }), fresh, null);
    const config = made(FIRST_CONFIG, edits);
    expect(config.station.name).toBe("Back shed");
    expect(config.coolant_range).toEqual({ low: 16, high: 21 });
    expect(config.channels.map(({ id }) => id)).toEqual(["coolant-in"]);
    expect(notes.join(" ")).toMatch(/simulated bench.*passphrase/);
    expect(() => proposeRole(given({ kind: "coolant-inlet" }), fresh, null)).toThrow(/coolant range/);
  });

  it("takes nothing of the first facts where there is a file", () => {
    const first = { name: "Another", low: 1, high: 2 };
    const { edits } = proposeRole(given({ first }), fresh, in_(EXAMPLE));
    expect(made(EXAMPLE, edits).station.name).toBe("Back shed");
  });

  it("is another name, with id, calibration and comments as they were, where the kind stays", () => {
    const { edits } = proposeRole(given({ kind: "coolant-inlet", name: "Water" }), known, in_(EXAMPLE));
    const text = editConfig(EXAMPLE, edits);
    expect(text).toBe(EXAMPLE.replace("name: Coolant into the tube", "name: Water"));
  });

  it("is another channel where the kind changes: the probe keeps its calibration, and the old name its readings", () => {
    const { edits } = proposeRole(given({}), known, in_(EXAMPLE));
    const { sources, channels } = made(EXAMPLE, edits);
    expect(sources).toEqual(in_(EXAMPLE).sources);
    expect(channels.map(({ id }) => id)).not.toContain("coolant-in");
    const out = channels.find(({ id }) => id === "coolant-out");
    expect(out).toMatchObject({ source: "water-probe" });
    expect(out?.calibration).toEqual({
      points: [
        [0.31, 0],
        [25.44, 25],
      ],
    });
  });

  it("is a second channel of one sensor, and names the point", () => {
    const { edits } = proposeRole(
      given({ kind: "room-humidity", point: "humidity", name: "Damp" }),
      room,
      in_(
        EXAMPLE.slice(0, EXAMPLE.indexOf("  - id: room-rh")) +
          EXAMPLE.slice(EXAMPLE.indexOf("  - id: fan-speed")),
      ),
    );
    expect(edits).toEqual([
      expect.objectContaining({
        entry: expect.objectContaining({ id: "room-rh", source: "room-sensor", point: "humidity" }),
      }),
    ]);
  });

  it("says who has it already, and takes a free id", () => {
    const { edits, notes } = proposeRole(given({ kind: "coolant-inlet" }), fresh, in_(EXAMPLE));
    expect(notes.join()).toContain("“Coolant into the tube” has this role already");
    expect(made(EXAMPLE, edits).channels.at(-1)?.id).toBe("coolant-in-2");
  });

  it("of a line is on at the level that somebody said", () => {
    const lidRole = given({ kind: "lid-open", point: "state", name: "Lid" });
    const low = made(EXAMPLE, proposeRole({ ...lidRole, activeLow: true }, lid, in_(EXAMPLE)).edits);
    expect(low.sources.at(-1)).toMatchObject({ id: "gpio-22", line: 22, active_low: true });
    expect(low.sources.at(-1)).not.toHaveProperty("chip");
    const high = made(EXAMPLE, proposeRole(lidRole, lid, in_(EXAMPLE)).edits);
    expect(high.sources.at(-1)).toMatchObject({ active_low: false });
    const turned = proposeRole(
      given({ kind: "laser-on", point: "state", name: "Laser" }),
      beam,
      in_(EXAMPLE),
    );
    expect(made(EXAMPLE, turned.edits).sources.find(({ id }) => id === "beam")).toMatchObject({
      active_low: false,
    });
  });

  it("of a line may be a fan's pulses, and no temperature", () => {
    const fan = proposeRole(
      given({ kind: "extraction-speed", point: "state", name: "Fan" }),
      lid,
      in_(EXAMPLE),
    );
    expect(made(EXAMPLE, fan.edits).sources.at(-1)).toMatchObject({ driver: "tachometer", line: 22 });
    expect(fan.notes.join()).toContain("two pulses a turn");
    expect(() => proposeRole(given({ point: "state" }), lid, in_(EXAMPLE))).toThrow(
      /GPIO 22 does not measure Coolant out/,
    );
    expect(() => proposeRole(given({ point: "flow" }), fresh, in_(EXAMPLE))).toThrow(/does not measure/);
  });
});

describe("a role is taken", () => {
  it("with its source where nothing else is read from that, and alone where something is", () => {
    const water = made(EXAMPLE, proposeTaking("coolant-in", in_(EXAMPLE)).edits);
    expect(water.sources.map(({ id }) => id)).toEqual(["room-sensor", "board", "beam"]);
    const damp = made(EXAMPLE, proposeTaking("room-rh", in_(EXAMPLE)).edits);
    expect(damp.sources).toHaveLength(4);
    expect(damp.channels.map(({ id }) => id)).not.toContain("room-rh");
  });

  it("not from the last one, and not from one that is not there", () => {
    const one = editConfig(
      FIRST_CONFIG,
      proposeRole(given({ first: { name: "A", low: 1, high: 2 } }), fresh, null).edits,
    );
    expect(() => proposeTaking("coolant-out", in_(one))).toThrow(/one at least/);
    expect(() => proposeTaking("nothing", in_(EXAMPLE))).toThrow(/no channel nothing/);
    expect(() => proposeTaking("nothing", null)).toThrow(/no channel/);
  });
});

it("the first file says what the example says, line by line", () => {
  const [, ...lines] = FIRST_CONFIG.split("\n").filter((line) => line !== "");
  const there = EXAMPLE.split("\n").map((line) => line.replace(/name: .*/, "name: Workshop station"));
  expect(lines.filter((line) => !there.includes(line))).toEqual([]);
});
