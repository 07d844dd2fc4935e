import { describe, expect, it } from "vitest";
import { limitWords, within } from "../../../ui/src/trials/typed/limits.js";
import {
  NOTHING_TYPED,
  readForm,
  takeTyped,
  typedNumber,
  typedNumbers,
  withoutCurrency,
} from "../../../ui/src/trials/typed/numbers.js";

describe("numbers as they are typed", () => {
  it("takes a decimal comma and a point for the same, and nothing else for a number", () => {
    expect(["3.02", "3,02", " 3 ", ".5", "-1", "+2", "3."].map(typedNumber)).toEqual([
      3.02, 3.02, 3, 0.5, -1, 2, 3,
    ]);
    for (const typed of ["", " ", "3 mm", "1.000,5", "1e3", "0x10", "Infinity", "three", "3..1", ","])
      expect([typed, typedNumber(typed)]).toEqual([typed, null]);
  });

  it("parts several by spaces, semicolons and line ends, and a comma only where a space follows it", () => {
    expect(typedNumbers("2,98 3.02;3,01\n3")).toEqual([2.98, 3.02, 3.01, 3]);
    expect(typedNumbers("10, 12, 14")).toEqual([10, 12, 14]);
    expect(typedNumbers("10,12")).toEqual([10.12]);
    expect(typedNumbers("10 twelve")).toBeNull();
  });

  it("takes what stands in the field to the others, or leaves all as it was", () => {
    expect(takeTyped({ taken: [3], typing: "2,98 3.02" })).toEqual({ taken: [3, 2.98, 3.02], typing: "" });
    const list = { taken: [3], typing: "about 3" };
    expect(takeTyped(list)).toBe(list);
    expect(takeTyped(NOTHING_TYPED)).toEqual(NOTHING_TYPED);
  });
});

describe("limits of a field", () => {
  it("are told in words that name both ends", () => {
    expect(limitWords({})).toBe("a number");
    expect(limitWords({ least: 1, most: 20, whole: true })).toBe("a whole number from 1 to 20");
    expect(limitWords({ above: 0, most: 100 })).toBe("a number above 0, at most 100");
    expect(limitWords({ least: 0 })).toBe("a number at least 0");
  });

  it("hold at their ends", () => {
    expect([0, 0.001, 100, 100.001].map((value) => within(value, { above: 0, most: 100 }))).toEqual([
      false,
      true,
      true,
      false,
    ]);
    expect([0, 1, 1.5].map((value) => within(value, { least: 1, whole: true }))).toEqual([
      false,
      true,
      false,
    ]);
  });
});

describe("reading a form", () => {
  it("tells every field that is wrong, each with what was expected there", () => {
    const form = readForm();
    expect(form.number("left_empty", " ", { least: 1 })).toBeUndefined();
    expect(form.number("price", "4,5", { least: 0 })).toBe(4.5);
    form.number("power", "101", { above: 0, most: 100 });
    form.number("speed", "fast");
    expect(form.needed("passes", "", { least: 1, most: 50, whole: true })).toBeNaN();
    form.numbers("rungs", { taken: [10], typing: "twelve" });
    form.numbers("points", { taken: [3], typing: "0" }, { above: 0, most: 100 });
    form.numbers("many", { taken: [1, 2, 3], typing: "" }, {}, 2);
    expect(Object.fromEntries(form.wrong)).toEqual({
      power: "a number above 0, at most 100",
      speed: "a number",
      passes: "a whole number from 1 to 50",
      rungs: "numbers, with a space between two",
      points: "a number above 0, at most 100, and not 0",
      many: "at most 2 of them",
    });
    expect([form.text("  board "), form.text(" ")]).toEqual(["board", undefined]);
  });
});

it("takes a sum with its currency, and leaves what is no sum as it is", () => {
  const sums = ["4,90", "4,90 €", "€4.90", "kr 45", "45 Kč", "4.90 EUR", " 12 "].map((typed) =>
    typedNumber(withoutCurrency(typed)),
  );
  expect(sums).toEqual([4.9, 4.9, 4.9, 45, 45, 4.9, 12]);
  for (const typed of ["cheap", "4,90 € a sheet", "1.234,50 €", "4 5 €", ""])
    expect(typedNumber(withoutCurrency(typed))).toBeNull();
});

it("takes several points with decimal commas and a semicolon between them", () => {
  expect(typedNumbers("3,05; 3,02")).toEqual([3.05, 3.02]);
  expect(typedNumbers("3,05;3,02, 2,99")).toEqual([3.05, 3.02, 2.99]);
});
