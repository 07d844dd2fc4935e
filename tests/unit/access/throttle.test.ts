import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createFailures } from "../../../station/access/failures.js";
import { placeOf } from "../../../station/access/place.js";
import { createThrottle } from "../../../station/access/throttle.js";
import { createRates } from "../../../station/web/rates.js";

const HOUR = 3_600_000;

describe("the wait after wrong tries", () => {
  it("is none for five, and then doubles up to its longest", () => {
    const throttle = createThrottle(() => 60_000);
    const waits: number[] = [];
    let mono = 1_000;
    for (let n = 0; n < 13; n += 1) {
      const wait = throttle.wait(["a"], mono);
      waits.push(wait / 1000);
      mono += wait;
      throttle.failed(["a"], mono);
    }
    expect(waits).toEqual([0, 0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 60, 60]);
  });

  it("is that of each key, goes with success, and is forgotten after a day", () => {
    const throttle = createThrottle((key) => (key === "here" ? 10_000 : HOUR));
    for (let n = 0; n < 30; n += 1) throttle.failed(["here", "there"], 0);
    expect([throttle.wait(["here"], 0), throttle.wait(["there"], 0), throttle.wait(["new"], 0)]).toEqual([
      10_000,
      HOUR,
      0,
    ]);
    expect(throttle.wait(["new", "there"], HOUR - 1)).toBe(1);
    throttle.succeeded(["there"]);
    expect(throttle.wait(["there"], 0)).toBe(0);
    throttle.failed(["here"], 25 * HOUR);
    expect(throttle.wait(["here"], 25 * HOUR)).toBe(0);
  });

  it("remembers no more keys of one kind than it has room for, and those that failed last", () => {
    const throttle = createThrottle(() => HOUR);
    for (let n = 0; n < 10; n += 1) throttle.failed(["name of old", "address old"], n);
    for (let n = 0; n < 3000; n += 1) throttle.failed([`name ${n}`], 10);
    expect(throttle.wait(["name of old"], 10)).toBe(0);
    // Those of another kind are not pushed out by them.
    expect(throttle.wait(["address old"], 10)).toBeGreaterThan(0);
    for (let n = 0; n < 10; n += 1) throttle.failed(["last"], 20);
    expect(throttle.wait(["last"], 20)).toBeGreaterThan(0);
  });
});

describe("failed tries", () => {
  it("are told of once and then as a number, whatever many addresses there are", () => {
    const failures = createFailures();
    const first = Array.from({ length: 10_000 }, (_, n) => failures.failed(`10.0.${n % 100}.1`, "sign-in"));
    expect(first.filter(Boolean).length).toBe(21);
    const summary = failures.summary();
    expect(summary.length).toBe(21);
    expect(summary.reduce((sum, { count }) => sum + count, 0)).toBe(10_000 - 21);
    expect(failures.summary()).toEqual([]);
  });
});

describe("questions from one address", () => {
  it("never are more than the bucket holds and what has flowed in since", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 2_000 }), { maxLength: 300 }), (gaps) => {
        const rates = createRates(20, 5);
        let mono = 0;
        let allowed = 0;
        for (const gap of gaps) {
          mono += gap;
          if (rates.allow("10.0.0.1", mono)) allowed += 1;
        }
        expect(allowed).toBeLessThanOrEqual(20 + (mono / 1000) * 5 + 1e-6);
      }),
    );
  });

  it.each([
    ["192.0.2.7", "192.0.2.7"],
    // RFC 4291 section 2.2: the same address written in two ways; section 2.5.4: 64 bits name the network.
    ["2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"],
    ["2001:db8:1:2::9", "2001:db8:1:2::/64"],
    ["2001:db8::1", "2001:db8:0:0::/64"],
  ])("%s counts as %s", (address, place) => {
    expect(placeOf(address)).toBe(place);
  });
});
