import type { IncomingMessage } from "node:http";
import { expect, it } from "vitest";
import { readConfig } from "../../../station/config.js";
import { createOriginOf } from "../../../station/web/origin-of.js";

const asked = (remoteAddress: string, localAddress: string, headers: object = {}) =>
  ({ socket: { remoteAddress, localAddress }, headers }) as IncomingMessage;

it("holds a request to be the station's own where both ends are, and nothing says that it was handed on", () => {
  const originOf = createOriginOf(false);
  expect(originOf(asked("::ffff:127.0.0.1", "127.0.0.1"))).toEqual({ address: "127.0.0.1", here: true });
  expect(originOf(asked("127.0.0.1", "192.0.2.2")).here).toBe(false);
  expect(originOf(asked("192.0.2.9", "192.0.2.2")).here).toBe(false);
  expect(originOf(asked("127.0.0.1", "127.0.0.1", { "x-forwarded-for": "192.0.2.9" })).here).toBe(false);
});

it("holds none to be the station's own behind a proxy that says nothing of itself", () => {
  const originOf = createOriginOf(true);
  expect(originOf(asked("127.0.0.1", "127.0.0.1")).here).toBe(false);
  expect(originOf(asked("::1", "::1")).here).toBe(false);
});

it("is told of the proxy in station.yaml, and takes it that there is none", () => {
  const rest = `
coolant_range: { low: 15, high: 22 }
sources:
  - id: probe
    driver: kernel-1-wire
    device: 28-000000005a01
channels:
  - id: coolant-in
    kind: coolant-inlet
    source: probe
`;
  const behind = (web: string) => readConfig(`${web}${rest}`, "station.yaml").web.behind_proxy;
  expect([behind(""), behind("web: { behind_proxy: true }")]).toEqual([false, true]);
});
