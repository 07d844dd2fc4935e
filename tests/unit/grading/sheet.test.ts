import { describe, expect, it } from "vitest";
import { PROPERTIES } from "../../../station/model/grade.js";
import type { GivenGrade, PlanView } from "../../../station/model/specimen.js";
import { settledSheet } from "../../../ui/src/grading/kept-here.js";
import { nextUngraded, plainCode, sheetFromPlan } from "../../../ui/src/grading/next.js";
import { withEntered } from "../../../ui/src/grading/overlay.js";
import { propertiesOf, SECOND_AFTER_MS, secondOffer } from "../../../ui/src/grading/second.js";
import { fitted } from "../../../ui/src/grading/smaller.js";
import { inKg, typedNumber } from "../../../ui/src/grading/typed-number.js";
import { tallyWords, valueWords } from "../../../ui/src/grading/words.js";
import { newId } from "../../../ui/src/link/new-id.js";
import { gradeOf, photoOf, queued, sheetOf } from "./entered.js";

describe("a sheet with what was entered here", () => {
  const first = gradeOf(1);
  const changed = gradeOf(2);
  const back = gradeOf(null);

  it("shows the latest, with what it was before", () => {
    const through = withEntered(sheetOf(), [first, changed]).grades.through;
    expect(through).toEqual({
      value: 2,
      wall: changed.enteredWall,
      by: "phone",
      before: [{ value: 1, wall: first.enteredWall, by: "phone" }],
    });
    expect(withEntered(sheetOf(), [first, changed, back]).grades).toEqual({});
  });

  it("is the same where the station has some of it, or all", () => {
    const whole = withEntered(sheetOf(), [first, changed]);
    for (const known of [[first], [first, changed]]) {
      const answered = withEntered(sheetOf(), known);
      expect(withEntered(answered, [first, changed])).toEqual(whole);
    }
  });

  it("takes nothing of another specimen, or of the other grading", () => {
    const others = [
      gradeOf(1, { subject: "ZZZZZ" }),
      gradeOf(1, { body: { value: 1, grading: 2 } }),
      photoOf(),
    ];
    expect(withEntered(sheetOf(), others)).toEqual(sheetOf());
  });

  it("has a photo once the station has it, and once", () => {
    const photo = queued(photoOf(), 1);
    const row = { entry: photo.entry, sha256: "a", width: 1, height: 1, bytes: 1, wall: 1, note: "" };
    const settled = settledSheet(sheetOf(), photo, row);
    expect(settled.photos).toEqual([row]);
    expect(settledSheet(settled, photo, row)).toEqual(settled);
  });
});

describe("a second grading", () => {
  const given = (by: string, wall: number): GivenGrade => ({ value: 1, wall, by, before: [] });
  const whole = sheetOf({ grades: { through: given("a", 10), back_fuzz: given("a", 20) } });

  it("is due to another person at once, and to the same one after the stated while", () => {
    expect(secondOffer(whole, "b", 21)).toBe("now");
    expect(secondOffer(whole, "a", 21)).toEqual({ from: 20 + SECOND_AFTER_MS });
    expect(secondOffer(whole, "a", 20 + SECOND_AFTER_MS)).toBe("now");
  });

  it("is not due before the first is complete, nor of one that is not among them", () => {
    expect(secondOffer(sheetOf({ grades: { through: given("a", 10) } }), "b", 21)).toBe("no");
    expect(secondOffer({ ...whole, twice: false }, "b", 21)).toBe("no");
  });

  it("asks for what is judged, and for no measuring", () => {
    expect(propertiesOf(sheetOf({ grading: 2 }))).toEqual(["through", "back_fuzz"]);
    expect(propertiesOf(sheetOf())).toEqual(["through", "back_fuzz", "press_out_N"]);
  });
});

describe("the next specimen", () => {
  const specimen = (code: string, state: string, grades: object = {}) => ({
    code,
    state,
    grades: [grades, {}],
  });
  const plan = {
    id: "p",
    number: 1,
    facts: { properties: ["through"], blind: true, title: "T" },
    blocks: [
      { specimens: [specimen("A", "cut"), specimen("B", "cut", { through: { value: 0 } })] },
      { specimens: [specimen("C", "waiting"), specimen("D", "spoilt"), specimen("E", "cut")] },
    ],
  } as unknown as PlanView;

  it("is the one after this that was cut and is not graded, round to the first", () => {
    expect(nextUngraded(plan, "A", [])).toBe("E");
    expect(nextUngraded(plan, "E", [])).toBe("A");
  });

  it("knows of grades that wait here", () => {
    expect(nextUngraded(plan, "A", [queued(gradeOf(1, { subject: "E" }), 1)])).toBeNull();
  });

  it("is told of a blind plan without lot and setting, out of what this browser has seen", () => {
    expect(sheetFromPlan(plan, "E", 1)).toMatchObject({
      code: "E",
      lotName: null,
      setting: null,
      state: "cut",
    });
    expect(sheetFromPlan(plan, "X", 1)).toBeNull();
  });

  it("is found by its code as it was typed", () => {
    expect(plainCode(" ac-3 4e\n")).toBe("AC34E");
  });
});

describe("a number as it was typed", () => {
  it("has a comma or a point, its unit or none", () => {
    for (const typed of ["12.5", "12,5", " 12,5 N", "12.5n", "+12.5"])
      expect(typedNumber("press_out_N", typed)).toEqual({ value: 12.5 });
    expect(typedNumber("press_out_N", ",5")).toEqual({ value: 0.5 });
    expect(typedNumber("press_out_N", "  ")).toBeNull();
  });

  it("takes a force as a luggage scale shows it, and a length never", () => {
    // 1 kg on a scale is 9.80665 N: the standard acceleration of free fall (3rd CGPM, 1901).
    expect(typedNumber("press_out_N", "1 kg")).toEqual({ value: 9.81 });
    expect(typedNumber("press_out_N", "2,5", "kg")).toEqual({ value: 24.52 });
    expect(typedNumber("press_out_N", "2,5 N", "kg")).toEqual({ value: 2.5 });
    expect(typedNumber("bend_span_mm", "60", "kg")).toEqual({ value: 60 });
    expect(typedNumber("bend_span_mm", "60 kg")).toEqual({ expected: "a number, as 12.5 or 12,5" });
    for (const kg of [0.05, 2.5, 12.34, 500])
      expect(inKg((typedNumber("press_out_N", `${kg} kg`) as { value: number }).value)).toBe(kg);
  });

  it("says what was expected of anything else", () => {
    const { least, most, unit } = PROPERTIES.press_out_N;
    for (const typed of ["1.234,5", "12 5", "e3", "0x10", "Infinity"])
      expect(typedNumber("press_out_N", typed), typed).toEqual({ expected: "a number, as 12.5 or 12,5" });
    for (const typed of ["-1", "5000,1"])
      expect(typedNumber("press_out_N", typed)).toEqual({ expected: `${least} to ${most} ${unit}` });
  });
});

describe("words and sizes", () => {
  it("tells what was given and how much waits", () => {
    expect(valueWords("through", 0)).toBe("Fell out");
    expect(valueWords("press_out_N", 12.5)).toBe("12.5\u00a0N");
    expect(valueWords("through", null)).toBe("taken back");
    expect(tallyWords({ count: 4, photos: 1, since: 0, refused: 0 })).toBe("3 grades and 1 photo wait");
    expect(tallyWords({ count: 1, photos: 0, since: 0, refused: 0 })).toBe("1 grade waits");
  });

  it("makes a picture smaller, in proportion, and never larger", () => {
    expect(fitted(4000, 3000, 2048)).toEqual({ width: 2048, height: 1536 });
    expect(fitted(300, 4000, 2048)).toEqual({ width: 154, height: 2048 });
    expect(fitted(640, 480, 2048)).toEqual({ width: 640, height: 480 });
    expect(fitted(100_000, 3, 2048)).toEqual({ width: 2048, height: 1 });
  });

  it("makes ids of version 4 and variant 10, RFC 9562, section 5.4", () => {
    const ids = [0, 0xff].map((byte) => newId((bytes) => bytes.fill(byte)));
    expect(ids).toEqual(["00000000-0000-4000-8000-000000000000", "ffffffff-ffff-4fff-bfff-ffffffffffff"]);
    expect(new Set(Array.from({ length: 100 }, () => newId())).size).toBe(100);
  });
});
