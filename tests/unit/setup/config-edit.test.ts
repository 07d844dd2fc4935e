import { readFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { readConfig } from "../../../station/config.js";
import { type ConfigEdit, EditRefused, editConfig } from "../../../station/setup/config-edit.js";
import { lineDiff } from "../../../station/setup/line-diff.js";

const EXAMPLE = readFileSync(
  join(import.meta.dirname, "../../../firmware-notes/station.example.yaml"),
  "utf8",
);
const changed = (after: string, before = EXAMPLE) =>
  lineDiff(before.split("\n"), after.split("\n"))
    .filter(({ what }) => what !== "same")
    .flatMap(({ what, lines }) => lines.map((line) => `${what === "added" ? "+" : "-"} ${line}`));
const comments = (text: string) => text.match(/#.*$/gm) ?? [];

const probe = {
  id: "return-probe",
  driver: "kernel-1-wire",
  device: "28-0000000071b2",
  every_s: 2,
} as const;

describe("the example file", () => {
  test("with nothing to change is as it was, to the letter", () => {
    expect(editConfig(EXAMPLE, [])).toBe(EXAMPLE);
  });

  test("a new source and its channel come at the end of their lists, and no other line changes", () => {
    const text = editConfig(EXAMPLE, [
      { edit: "put", list: "sources", entry: probe },
      {
        edit: "put",
        list: "channels",
        entry: { id: "coolant-out", kind: "coolant-outlet", source: "return-probe", valid: [0, 60] },
      },
    ]);
    expect(changed(text)).toEqual([
      "+   - id: return-probe",
      "+     driver: kernel-1-wire",
      "+     device: 28-0000000071b2",
      "+     every_s: 2",
      "+   - id: coolant-out",
      "+     kind: coolant-outlet",
      "+     source: return-probe",
      "+     valid: [ 0, 60 ]",
    ]);
    const config = readConfig(text, "station.yaml");
    expect(config.channels.find(({ id }) => id === "coolant-out")?.valid).toEqual([0, 60]);
    expect(text.indexOf("return-probe")).toBeLessThan(text.indexOf("channels:"));
  });

  test("an entry with an id that is there is changed where it differs, and keeps its comments", () => {
    const text = editConfig(EXAMPLE, [
      { edit: "put", list: "sources", entry: { ...probe, id: "water-probe" } },
    ]);
    expect(changed(text)).toEqual(["-     device: 28-000000005a01", "+     device: 28-0000000071b2"]);
  });

  test("a calibration takes the place of the old one", () => {
    const edit = (value: ConfigEdit & { edit: "set-entry" }) => changed(editConfig(EXAMPLE, [value]));
    const on = { edit: "set-entry", list: "channels", id: "coolant-in", key: "calibration" } as const;
    expect(
      edit({
        ...on,
        value: {
          points: [
            [0.12, 0],
            [30.4, 30.1],
          ],
        },
      }),
    ).toEqual([
      "-     calibration: { points: [[0.31, 0.0], [25.44, 25.0]] }",
      "+     calibration: { points: [ [ 0.12, 0 ], [ 30.4, 30.1 ] ] }",
    ]);
    expect(edit({ ...on, value: null })).toEqual([
      "-     # From ice water and a reference thermometer: what the probe said, what was true.",
      "-     calibration: { points: [[0.31, 0.0], [25.44, 25.0]] }",
    ]);
  });

  test("a setting keeps the comment behind it", () => {
    const text = editConfig(EXAMPLE, [{ edit: "set", path: ["runs", "join_gap_s"], value: 12 }]);
    expect(changed(text)).toEqual([
      "-   join_gap_s: 8 # the laser may be off for this long within one run",
      "+   join_gap_s: 12 # the laser may be off for this long within one run",
    ]);
  });

  test("an entry that goes takes its own comment with it, and no other", () => {
    const text = editConfig(EXAMPLE, [
      { edit: "drop", list: "channels", id: "laser" },
      { edit: "drop", list: "sources", id: "beam" },
    ]);
    expect(comments(text)).toEqual(comments(EXAMPLE).filter((each) => !each.includes("beam on")));
    const config = readConfig(text, "station.yaml");
    expect(config.sources.map(({ id }) => id)).toEqual(["water-probe", "room-sensor", "board"]);
  });
});

test("all settings that are changed are as asked, and all others, and every comment, as they were", () => {
  const number = fc.integer({ min: 0, max: 999 });
  const edits = fc.array(
    fc.oneof(
      fc.record({
        edit: fc.constant("set" as const),
        path: fc.constantFrom(["coolant_range", "low"], ["runs", "join_gap_s"], ["after_cut", "run_on_s"]),
        value: number,
      }),
      fc.record({
        edit: fc.constant("set-entry" as const),
        list: fc.constant("channels" as const),
        id: fc.constantFrom("coolant-in", "room-t", "laser"),
        key: fc.constantFrom("expected_every_s", "stale_after_s"),
        value: number,
      }),
    ),
    { maxLength: 5 },
  );
  fc.assert(
    fc.property(edits, (list) => {
      const text = editConfig(EXAMPLE, list);
      const expected = parse(EXAMPLE);
      for (const each of list) {
        if (each.edit === "set") expected[each.path[0] as string][each.path[1] as string] = each.value;
        else expected.channels.find(({ id }: { id: string }) => id === each.id)[each.key] = each.value;
      }
      expect(parse(text)).toEqual(expected);
      expect(comments(text)).toEqual(comments(EXAMPLE));
    }),
    { numRuns: 40 },
  );
});

describe("a text that is written in another form", () => {
  test.each([
    ["lists on one line", "sources: [{ id: a, driver: x }] # mine\nchannels: []\n"],
    ["Windows line ends", "sources:\r\n  - id: a # mine\r\n    driver: x\r\nchannels: []\r\n"],
    [
      "four blanks, anchors, and a list that is not indented",
      "a: &a 1 # mine\nb: *a\nsources:\n-   id: a\n    driver: x\n",
    ],
    ["no list yet", "# mine\nstation: { name: shed }\n"],
    ["an empty list", "# mine\nsources:\nchannels:\n"],
  ])("%s: keeps what it says, and its comments", (_, text) => {
    const edited = editConfig(text, [{ edit: "put", list: "sources", entry: { id: "b", driver: "y" } }]);
    const before = parse(text);
    expect(parse(edited)).toEqual({
      ...before,
      sources: [...(before.sources ?? []), { id: "b", driver: "y" }],
    });
    expect(edited).toContain("# mine");
  });
});

describe("what cannot be done is said, with what was expected", () => {
  test.each<[string, string, ConfigEdit]>([
    ["YAML", "a: [", { edit: "set", path: ["a"], value: 1 }],
    ["a list at sources", "sources: 5\n", { edit: "put", list: "sources", entry: { id: "a" } }],
    ["whose id is gone", EXAMPLE, { edit: "drop", list: "channels", id: "gone" }],
    ["whose id is gone", EXAMPLE, { edit: "set-entry", list: "sources", id: "gone", key: "a", value: 1 }],
  ])("%s", (words, text, edit) => {
    expect(() => editConfig(text, [edit])).toThrow(EditRefused);
    expect(() => editConfig(text, [edit])).toThrow(words);
  });
});
