import { describe, expect, test } from "vitest";
import { absoluteTime, type ResolvedRecord, resolvePack } from "../../station/sources/serial/senml.js";
// Source: RFC 8428, sections 5.1.1 to 5.1.7, copied from its text; the file says which forms were worked out by hand.
import rfc from "./data/senml-rfc8428.json" with { type: "json" };

function resolved(pack: unknown): readonly ResolvedRecord[] {
  const answer = resolvePack(pack);
  if (!answer.ok) throw new Error(answer.detail);
  return answer.records;
}

/** A record in the way section 5.1.4 prints it. */
const printed = ({ name, unit, time, value }: ResolvedRecord) => ({
  n: name,
  ...(unit === null ? {} : { u: unit }),
  t: time,
  ...("value" in value ? { v: value.value } : {}),
});

const ONE = "urn:dev:ow:10e2073a01080063";

describe("the examples of RFC 8428, section 5.1", () => {
  test("5.1.1: a single data point", () => {
    expect(resolved(rfc["5.1.1"])).toEqual([
      {
        name: ONE,
        unit: "Cel",
        value: { kind: "number", value: 23.1 },
        sum: null,
        time: 0,
        updateTime: null,
      },
    ]);
  });

  test("5.1.2: a base name is put before the names, and time 0 is about now", () => {
    expect(resolved(rfc["5.1.2 now"]).map(printed)).toEqual([
      { n: `${ONE}:voltage`, u: "V", t: 0, v: 120.1 },
      { n: `${ONE}:current`, u: "A", t: 0, v: 1.2 },
    ]);
    expect(absoluteTime(0, 1_700_000_000)).toBe(1_700_000_000);
  });

  test("5.1.2: a base time and a base unit; version 5 is understood", () => {
    const records = resolved(rfc["5.1.2 times"]);
    expect(records.map(({ unit }) => unit)).toEqual(["V", "A", "A", "A", "A", "A", "A"]);
    expect(records.map(({ time }) => time)).toEqual([
      1276020076.001, 1276020071.001, 1276020072.001, 1276020073.001, 1276020074.001, 1276020075.001,
      1276020076.001,
    ]);
    // "Tue Jun 8 18:01:16.001 UTC 2010", as the RFC says beside it.
    expect(new Date(1276020076.001 * 1000).toISOString()).toBe("2010-06-08T18:01:16.001Z");
  });

  test("5.1.3 resolves to 5.1.4, record for record", () => {
    expect(resolved(rfc["5.1.3"]).map(printed)).toEqual(rfc["5.1.4"]);
  });

  test("5.1.4 is resolved already and stays as it is", () => {
    expect(resolved(rfc["5.1.4"]).map(printed)).toEqual(rfc["5.1.4"]);
  });

  test("5.1.5: every type of value", () => {
    expect(resolved(rfc["5.1.5"]).map(({ name, value }) => [name, value])).toEqual([
      [`${ONE}:temp`, { kind: "number", value: 23.1 }],
      [`${ONE}:label`, { kind: "string", value: "Machine Room" }],
      [`${ONE}:open`, { kind: "boolean", value: false }],
      [`${ONE}:nfv-reader`, { kind: "data", value: "aGkgCg" }],
    ]);
  });

  test("5.1.6: the last record has the base name of the third and the base time of the first", () => {
    expect(resolved(rfc["5.1.6"]).map(printed).at(-1)).toEqual({
      n: "2001:db8::1/humidity",
      u: "%RH",
      t: 1320078429,
      v: 67,
    });
  });

  test("5.1.7: a record that only sets a base name is none of its own", () => {
    expect(resolved(rfc["5.1.7 thermostat"]).map(printed)).toEqual([
      { n: `${ONE}:temp`, u: "Cel", t: 0, v: 23.1 },
      { n: `${ONE}:heat`, u: "/", t: 0, v: 1 },
      { n: `${ONE}:fan`, u: "/", t: 0, v: 0 },
    ]);
    expect(resolved(rfc["5.1.7 lights"])).toHaveLength(4);
  });
});

describe("the rules of RFC 8428, section 4", () => {
  const refused = (pack: unknown) => {
    const answer = resolvePack(pack);
    return answer.ok ? "taken" : answer.detail;
  };

  test("4.3: base value and value are added, base sum and sum too", () => {
    const [first, second] = resolved([{ bn: "a", bv: 20, bs: 5, v: 1, s: 2 }, { v: -1 }]);
    expect(first).toMatchObject({ value: { value: 21 }, sum: 7 });
    expect(second).toMatchObject({ value: { value: 19 }, sum: 5 });
  });

  test("4.2: exactly one value, or a sum", () => {
    expect(refused([{ n: "a", v: 1, vb: true }])).toContain("exactly one value");
    expect(refused([{ n: "a" }])).toContain("a value or a sum");
    expect(resolved([{ n: "a", s: 3 }])).toMatchObject([{ value: { kind: "none" }, sum: 3 }]);
  });

  test("4.4: an unknown field is ignored, unless its label ends in _", () => {
    expect(refused([{ n: "a", v: 1, foo: {} }])).toBe("taken");
    expect(refused([{ n: "a", v: 1, foo_: {} }])).toContain("foo_");
  });

  test("4.4: a version above 10, or two in one Pack, is refused", () => {
    expect(refused([{ bver: 11, n: "a", v: 1 }])).toContain("newer");
    expect(refused([{ bver: 10, n: "a", v: 1 }])).toBe("taken");
    expect(
      refused([
        { n: "a", v: 1 },
        { bver: 5, n: "a", v: 1 },
      ]),
    ).toContain("one version");
    expect(
      refused([
        { bver: 5, n: "a", v: 1 },
        { n: "a", v: 1 },
      ]),
    ).toBe("taken");
    expect(refused([{ bver: 1.5, n: "a", v: 1 }])).toContain("whole number");
  });

  test("4.5.1: a name has its characters, and is not empty", () => {
    for (const n of ["a b", "-a", "_a", ":a", "°", "a\n", ""])
      expect(refused([{ n, v: 1 }])).toContain("a name is of");
    expect(refused([{ v: 1 }])).toContain("a name is of");
    for (const n of ["a", "9", "A-b:c.d/e_f"]) expect(refused([{ n, v: 1 }])).toBe("taken");
    // The rule is about the name put together, so a part may be what the whole may not.
    expect(refused([{ bn: "a", n: "-b", v: 1 }])).toBe("taken");
  });

  test("4.5.3: below 2^28 a time is relative to now, from there on it is absolute", () => {
    // 2^28 is 1978-07-04 21:24:16 UTC, as the RFC says beside it.
    expect(new Date(2 ** 28 * 1000).toISOString()).toBe("1978-07-04T21:24:16.000Z");
    expect(absoluteTime(2 ** 28, 1_700_000_000)).toBe(2 ** 28);
    expect(absoluteTime(2 ** 28 - 1, 1_700_000_000)).toBe(1_700_000_000 + 2 ** 28 - 1);
    expect(absoluteTime(-5, 1_700_000_000)).toBe(1_699_999_995);
  });

  test("5: fields have their JSON types, numbers fit double precision, and the root is an array", () => {
    expect(refused([{ n: 1, v: 1 }])).toContain("n is a string");
    expect(refused([{ n: "a", v: "1" }])).toContain("v is a number");
    expect(refused([{ n: "a", vb: 1 }])).toContain("vb is a boolean");
    expect(refused(JSON.parse('[{"n":"a","v":1e999}]'))).toContain("double precision");
    expect(refused([{ bv: 1.7e308, n: "a", v: 1.7e308 }])).toContain("double precision");
    expect(refused({ n: "a", v: 1 })).toContain("array");
    expect(refused([[]])).toContain("object");
  });
});
