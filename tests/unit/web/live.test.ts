import { createServer, request } from "node:http";
import type { AddressInfo } from "node:net";
import { afterEach, beforeEach, expect, it } from "vitest";
import { createLive, type Live } from "../../../station/web/live.js";
import { aGate, type GateRig } from "./a-gate.js";

const PASSPHRASE = "four words that suffice";
let rig: GateRig;
let live: Live;
let port = 0;
let close: () => Promise<void>;

/** Opens a page as the first question of the long way of asking does. @returns the status of the answer */
function open(host: string, cookie: string | null): Promise<number> {
  return new Promise((resolve, reject) => {
    const headers = cookie === null ? {} : { cookie: `station-session=${cookie}` };
    const sent = request({ host, port, headers, path: "/socket.io/?EIO=4&transport=polling" });
    sent.on("error", reject);
    sent.on("response", (response) => {
      response.resume().on("end", () => resolve(response.statusCode ?? 0));
    });
    sent.end();
  });
}
async function opened(count: number, cookie: string): Promise<number> {
  let open200 = 0;
  for (let n = 0; n < count; n += 1) if ((await open("127.0.0.2", cookie)) === 200) open200 += 1;
  return open200;
}
const signIn = () => {
  const there = { here: false, address: "127.0.0.1" };
  return rig.access.signIn(rig.access.caller(null, there), "Owner", PASSPHRASE);
};

beforeEach(async () => {
  rig = await aGate();
  await rig.access.begin(rig.access.caller(null, { here: true, address: "127.0.0.1" }), "Owner", PASSPHRASE);
  live = createLive({
    snapshot: () => ({}) as never,
    alarmMessage: () => ({}) as never,
    acknowledge: async () => undefined,
    acknowledged: () => undefined,
    ...{
      access: rig.access,
      names: rig.gate.names,
      originOf: rig.gate.originOf,
      mono: rig.gate.mono,
      log: () => undefined,
    },
  });
  const server = createServer((asked, answer) => live.request(asked, answer));
  // What is asked of another address than the first of the loop is the network's.
  await new Promise<void>((done) => server.listen(0, "0.0.0.0", done));
  port = (server.address() as AddressInfo).port;
  close = async () => {
    await live.close();
    server.closeAllConnections();
    await new Promise((done) => server.close(done));
    await rig.remove();
  };
});
afterEach(() => close());

it("opens twenty pages over one session, and keeps nobody else out with them", async () => {
  const [one, other] = [await signIn(), await signIn()];
  expect(await opened(30, one)).toBe(20);
  expect(await open("127.0.0.2", other)).toBe(200);
  expect(await open("127.0.0.1", null)).toBe(200);
});

it("opens no page for whoever opens them without end, and always one for the station's own screen", async () => {
  const one = await signIn();
  for (let n = 0; n < 60; n += 1) await open("127.0.0.2", one);
  // Another session of the same place has to wait too.
  const other = await signIn();
  expect(await open("127.0.0.2", other)).toBe(403);
  const wall: number[] = [];
  for (let n = 0; n < 100; n += 1) wall.push(await open("127.0.0.1", null));
  expect(wall.every((status) => status === 200)).toBe(true);
  rig.clock.pass(1_000);
  expect(await open("127.0.0.2", other)).toBe(200);
});
