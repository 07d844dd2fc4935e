import { describe, expect, it } from "vitest";
import { createOwnNames } from "../../../station/web/own-names.js";
import { isOwnPage, isOwnRequest } from "../../../station/web/same-site.js";

const at = (address: string) => ({ address, family: "IPv4" }) as never;

describe("the names of the station", () => {
  let interfaces = { eth0: [at("192.0.2.2"), at("fd00::2"), at("fe80::1%eth0")] };
  let mono = 0;
  const names = createOwnNames(
    ["Workshop.example"],
    () => mono,
    () => interfaces,
    () => "bench",
  );

  it.each([
    "localhost",
    "localhost:8080",
    "LOCALHOST.",
    "127.0.0.1:1",
    "[::1]:80",
    "bench",
    "bench.local:8080",
    "192.0.2.2:8080",
    "[fd00::2]",
    "[fe80::1]",
    "workshop.example:443",
  ])("are %s", (host) => {
    expect(names.has(host)).toBe(true);
  });

  it.each([
    undefined,
    "",
    "evil.example",
    "bench.evil.example",
    "localhost.evil.example",
    "127.0.0.1.evil.example",
    "192.0.2.3",
    "localhost:8080:8080",
    "localhost@evil.example",
    "localhost/",
    "::1",
    "fd00::2",
    "0.0.0.0",
    "2130706433",
  ])("are not %s", (host) => {
    expect(names.has(host)).toBe(false);
  });

  it("are those of now: an address that was given since is known soon", () => {
    interfaces = { eth0: [at("192.0.2.9")] };
    mono = 10_001;
    expect([names.has("192.0.2.9"), names.has("192.0.2.2")]).toEqual([true, false]);
    expect(names.list()).toEqual(["workshop.example", "bench.local", "192.0.2.9"]);
  });
});

describe("a page of the station's own", () => {
  it("is known by its origin, and by what the browser says of it", () => {
    expect(isOwnPage("http://bench.local:8080", "bench.local:8080")).toBe(true);
    for (const origin of ["null", "http://bench.local", "http://bench.local:8081", "x", ""])
      expect(isOwnPage(origin, "bench.local:8080")).toBe(false);
    expect(isOwnRequest({ "sec-fetch-site": "cross-site" }, false)).toBe(false);
    expect(isOwnRequest({ "sec-fetch-site": "none" }, false)).toBe(true);
    expect(isOwnRequest({ origin: "http://elsewhere.example", host: "bench" }, false)).toBe(true);
    expect(isOwnRequest({ origin: "http://elsewhere.example", host: "bench" }, true)).toBe(false);
  });
});
