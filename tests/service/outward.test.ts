import { execFileSync } from "node:child_process";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import mqtt from "mqtt";
import { afterEach, beforeAll, beforeEach, expect, it } from "vitest";
import type { OutwardView, WayTest, WayView } from "../../station/model/outward.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { SysFolder } from "./bench-rig.js";
import {
  freePort,
  type Received,
  startBroker,
  startMailServer,
  startReceiver,
  startSilentServer,
} from "./outward-servers.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

/** Nothing of these may be shown anywhere. */
const SECRETS = {
  mail: "wren-kiln-4711",
  mqtt: "moss-gate-0815",
  webhook: "oak-lamp-2342",
  token: "t0ken-in-the-path",
};

let folder: string;
let sys: SysFolder;
let station: StationProcess | null;
let cleaning: (() => unknown)[] = [];
beforeAll(buildIfMissing);
beforeEach(() => {
  const made = temporaryFolder();
  folder = made.folder;
  cleaning = [made.remove];
  sys = new SysFolder(folder);
  station = null;
  for (const name of ["mail", "mqtt", "webhook"] as const)
    writeFileSync(join(folder, name), `${SECRETS[name]}\n`, { mode: 0o600 });
});
afterEach(async () => {
  if (station?.child.exitCode === null && station.child.signalCode === null) await station.kill();
  for (const clean of cleaning.reverse()) await clean();
});

function stopped<T extends { stop(): Promise<void> }>(server: T): T {
  cleaning.push(() => server.stop());
  return server;
}

interface Ports {
  readonly mail?: number;
  readonly mqtt?: number;
  readonly webhook?: number;
}

function config({ mail, mqtt: broker, webhook }: Ports, changes: object = {}): object {
  return {
    station: { name: "Back shed" },
    coolant_range: { low: 15, high: 22 },
    alarms: {
      "coolant-high": { on_delay_s: 0, off_delay_s: 0 },
      "coolant-low": { on_delay_s: 0, off_delay_s: 0 },
    },
    sources: [{ id: "probe", driver: "kernel-1-wire", device: sys.probe, every_s: 1 }],
    channels: [{ id: "water", kind: "coolant-inlet", source: "probe", resolution: 0.0625 }],
    outward: {
      ...(mail === undefined
        ? {}
        : {
            mail: {
              host: "127.0.0.1",
              port: mail,
              security: "none",
              from: "s@shop.example",
              to: ["owner@shop.example"],
            },
          }),
      ...(broker === undefined
        ? {}
        : {
            mqtt: {
              ...{ url: `mqtt://127.0.0.1:${broker}`, topic: "shop", user: "shed" },
              password_file: join(folder, "mqtt"),
            },
          }),
      ...(webhook === undefined
        ? {}
        : {
            webhook: {
              ...{ url: `http://127.0.0.1:${webhook}/${SECRETS.token}`, allow_http: true },
              secret_file: join(folder, "webhook"),
            },
          }),
      ...changes,
    },
  };
}

async function start(ports: Ports, changes: object = {}): Promise<StationProcess> {
  station = await startStation(folder, config(ports, changes), { more: ["--sys-root", sys.root] });
  return station;
}

async function ways(): Promise<Map<string, WayView>> {
  const view = await (station as StationProcess).get<OutwardView>("/api/outward");
  return new Map(view.ways.map((way) => [way.way, way]));
}

/** What of a way's messages the journal has by now, by their keys: a message is out before the disk has heard of it. */
function kept(way: string, state: "waiting" | "sent"): unknown[] {
  const db = new Database(join(folder, "journal", "journal.sqlite"), { readonly: true });
  try {
    return db.prepare("SELECT key FROM notice WHERE way = ? AND state = ?").pluck().all(way, state);
  } finally {
    db.close();
  }
}

/** The broker's password and one who listens with it to all that the station tells. */
async function listening(port: number): Promise<[string, string][]> {
  const heard: [string, string][] = [];
  const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`, {
    username: "shed",
    password: SECRETS.mqtt,
  });
  cleaning.push(() => client.endAsync(true));
  client.on("message", (topic, payload) => heard.push([topic, payload.toString()]));
  await client.subscribeAsync("shop/#", { qos: 1 });
  return heard;
}

function broker(port?: number) {
  return startBroker(folder, {
    user: "shed",
    password: SECRETS.mqtt,
    ...(port === undefined ? {} : { port }),
  });
}

const raisedIn = (bodies: readonly string[]) =>
  bodies
    .map((body) => JSON.parse(body) as { id: string; transition: string; kind: string; what: string })
    .filter(({ transition }) => transition === "raised");

it("an alarm that rises while every server is down is told by each way once they are up, and the pages have it at once", async () => {
  const ports = { mail: await freePort(), mqtt: await freePort(), webhook: await freePort() };
  await start(ports);
  sys.coolant(25);
  const standing = await eventually(async () => {
    const alarms = await station?.get<{ standing: unknown[] }>("/api/alarms");
    return alarms?.standing.length === 0 ? null : alarms?.standing;
  }, "the alarm");
  expect(standing).toMatchObject([{ kind: "coolant-high" }]);
  await eventually(
    async () => [...(await ways()).values()].every(({ error }) => error !== null),
    "the words",
  );
  for (const way of (await ways()).values())
    expect(way).toMatchObject({ setUp: true, waiting: 1, lastSentWall: null });
  const mail = stopped(await startMailServer({ port: ports.mail }));
  const hook = stopped(await startReceiver(() => 204, ports.webhook));
  stopped(await broker(ports.mqtt));
  const heard = await listening(ports.mqtt);
  // The first pause is 15 s and a quarter more at most, and the broker's 5 s.
  await eventually(
    async () => [...(await ways()).values()].every(({ waiting }) => waiting === 0),
    "all",
    50_000,
  );
  expect(mail.received).toHaveLength(1);
  const posted = raisedIn(hook.posted.map(({ body }) => body));
  expect(posted).toHaveLength(1);
  const events = () => raisedIn(heard.filter(([topic]) => topic === "shop/event").map(([, text]) => text));
  await eventually(() => events().length > 0, "the event");
  expect(events()).toEqual(posted);
  for (const way of (await ways()).values())
    expect(way).toMatchObject({ error: null, lastSentWall: expect.any(Number), givenUp: 0 });
}, 120_000);

it("a station that is killed after a server had a message and before it knew sends it again as the same, and no other twice", async () => {
  const kill = () => (station as StationProcess).kill();
  let kills = 0;
  const mail = stopped(
    await startMailServer({
      async onMail() {
        // Whole at the server, and never answered for.
        if (kills++ > 0) return "take";
        await eventually(() => kept("mail", "waiting").length > 0, "the journal to have it");
        await kill();
        return "break-off";
      },
    }),
  );
  await start({ mail: mail.port });
  sys.coolant(25);
  // The next one may have the journal only when this one has gone.
  await eventually(() => mail.received.length === 1 && station?.child.signalCode === "SIGKILL", "the kill");
  await start({ mail: mail.port });
  await eventually(
    async () =>
      mail.received.length === 2 &&
      (await ways()).get("mail")?.waiting === 0 &&
      kept("mail", "sent").length === 1,
    "the second",
  );
  const [first, second] = mail.received as [Received, Received];
  expect(second.messageId).toBe(first.messageId);
  expect(second.text.replace(/boundary.*/g, "")).toBe(first.text.replace(/boundary.*/g, ""));

  await station?.kill();
  await start({ mail: mail.port });
  sys.coolant(10);
  await eventually(() => mail.received.length >= 3, "the next alarm");
  expect(new Set(mail.received.map(({ messageId }) => messageId)).size).toBe(2);
  expect(mail.received).toHaveLength(3);
}, 120_000);

it("every alarm of many kills reaches the webhook, each with one key", async () => {
  let killing: (() => Promise<void>) | null = null;
  const hook = stopped(
    await startReceiver(async ({ headers }) => {
      const kill = killing;
      killing = null;
      if (kill === null) return 204;
      const key = JSON.parse(String(headers["idempotency-key"]));
      await eventually(() => kept("webhook", "waiting").includes(key), "the journal to have it");
      await kill();
      return null;
    }),
  );
  await start({ webhook: hook.port });
  const shown = new Set<string>();
  for (let i = 0; i < 5; i++) {
    killing = () => (station as StationProcess).kill();
    sys.coolant(i % 2 === 0 ? 25 : 10);
    await eventually(() => station?.child.signalCode === "SIGKILL", "the kill");
    await start({ webhook: hook.port });
    await eventually(async () => (await ways()).get("webhook")?.waiting === 0, "all of it");
  }
  // What the last start brought back may still change once the sensors speak: the log and the receiver are asked until
  // they agree.
  const posted = () => hook.posted.map(({ headers }) => String(headers["idempotency-key"]));
  await eventually(async () => {
    const { transitions } = await (station as StationProcess).get<{ transitions: { id: string }[] }>(
      "/api/alarms/log?limit=200",
    );
    shown.clear();
    for (const { id } of transitions) shown.add(`"webhook:${id}"`);
    const keys = new Set(posted());
    return keys.size === shown.size && [...shown].every((key) => keys.has(key));
  }, "every transition of the log");
  const keys = posted();
  expect(new Set(keys)).toEqual(shown);
  expect(keys.length).toBeGreaterThan(shown.size);
  const bodies = new Map<string, string>();
  for (const { headers, body } of hook.posted) {
    const key = String(headers["idempotency-key"]);
    expect(bodies.get(key) ?? body).toBe(body);
    bodies.set(key, body);
  }
}, 180_000);

it("whoever listens to the broker hears that the station is gone, when it is killed and when it is stopped", async () => {
  const { port } = stopped(await broker());
  const heard = await listening(port);
  const last = () => heard.findLast(([topic]) => topic === "shop/availability")?.[1];
  await start({ mqtt: port });
  await eventually(() => last() === "online", "that it is there");
  await station?.kill();
  await eventually(() => last() === "offline", "that it was killed");
  await start({ mqtt: port });
  await eventually(() => last() === "online", "that it is there again");
  const state = await eventually(() => new Map(heard).get("shop/alarm/coolant-high"), "how the alarm stands");
  expect(JSON.parse(state)).toMatchObject({ state: "normal" });
  expect(await station?.stop()).toBe(0);
  await eventually(() => last() === "offline", "that it was stopped");
});

it("no secret is in the log, the answers, the pages, the journal, or what check says, whether it is right or wrong", async () => {
  const tls = stopped(await startMailServer({ user: "shed", password: "another" }));
  const { port } = stopped(await startBroker(folder, { user: "shed", password: "another" }));
  const hook = stopped(await startReceiver(() => 500));
  const mail = {
    ...{ host: "127.0.0.1", port: tls.port, from: "s@shop.example", to: ["owner@shop.example"] },
    ...{ user: "shed", password: SECRETS.mail },
  };
  const running = await start({ mqtt: port, webhook: hook.port }, { mail });
  sys.coolant(25);
  await eventually(
    async () => [...(await ways()).values()].every(({ error }) => error !== null),
    "all to fail",
  );
  const said = [];
  for (const way of ["mail", "mqtt", "webhook"]) {
    const test = await running.send("POST", `/api/outward/${way}/test`, { by: "Wall screen" });
    expect(test).toMatchObject({ status: 200, body: { sent: false } });
    said.push(JSON.stringify(test.body));
  }
  for (const path of ["/api/outward", "/api/alarms", "/api/now", "/metrics", "/alarms"]) {
    const answer = await fetch(`${running.url}${path}`);
    said.push(await answer.text(), JSON.stringify([...answer.headers]));
  }
  said.push(running.output());
  expect(await running.stop()).toBe(0);
  said.push(running.output());
  const journal = join(folder, "journal");
  for (const name of readdirSync(journal)) said.push(readFileSync(join(journal, name)).toString("latin1"));
  const check = (file: string) => {
    try {
      return execFileSync(
        process.execPath,
        [join(process.cwd(), ".build/station/command.js"), "check", "--config", file],
        {
          cwd: folder,
          encoding: "utf8",
          stdio: ["ignore", "pipe", "pipe"],
        },
      );
    } catch (error) {
      const { stdout, stderr } = error as { stdout: string; stderr: string };
      return `${stdout}${stderr}`;
    }
  };
  said.push(check(join(folder, "station.yaml")));
  const wrong = join(folder, "wrong.yaml");
  const text = readFileSync(join(folder, "station.yaml"), "utf8");
  writeFileSync(
    wrong,
    text.replace("password:", "pasword:").replace("allow_http: true", "allow_http: false"),
  );
  const faults = check(wrong);
  expect(faults).toMatch(/outward\.mail\.pasword: found a value that is not shown; expected no such setting/);
  expect(faults).toMatch(/outward\.webhook\.url: found a value that is not shown; expected an https/);
  said.push(faults);
  for (const secret of Object.values(SECRETS)) for (const each of said) expect(each).not.toContain(secret);
}, 120_000);

it("each way can be tried, says how it went, and leaves nothing waiting; one that hangs holds up nothing", async () => {
  const mail = stopped(await startMailServer());
  const silent = stopped(await startSilentServer());
  const running = await start({ mail: mail.port, webhook: silent.port });
  const tested = await running.send("POST", "/api/outward/mail/test", { by: "Wall screen" });
  expect(tested.body).toEqual({
    sent: true,
    text: expect.stringContaining("The mail server has taken it"),
  } satisfies WayTest);
  expect(mail.received[0]?.text).toMatch(/^Subject: This is a test: nothing has happened \(Back shed\)$/m);
  expect(await running.send("POST", "/api/outward/mail/test", {})).toMatchObject({
    status: 429,
    body: { code: "way-test-too-soon", detail: expect.stringMatching(/try again in \d+ s/) },
  });
  expect(mail.received).toHaveLength(1);
  expect(await running.send("POST", "/api/outward/mqtt/test", {})).toMatchObject({
    status: 409,
    body: { code: "way-not-set-up" },
  });
  expect(await running.send("POST", "/api/outward/pigeon/test", {})).toMatchObject({ status: 404 });
  const hanging = running.send("POST", "/api/outward/webhook/test", {});
  await eventually(
    async () => (await running.send("POST", "/api/outward/webhook/test", {})).status === 409,
    "that one test at a time is sent",
  );
  sys.coolant(25);
  await eventually(() => mail.received.length === 2, "the mail beside it");
  expect(mail.received[1]?.text).toContain("Coolant");
  expect(await hanging).toMatchObject({
    status: 200,
    body: { sent: false, text: /has not answered within 11 s/ },
  });
  // With a message on its way to a server that says nothing the station ends all the same.
  expect(await running.stop()).toBe(0);
}, 90_000);

it("with nothing set up nobody is told, and nothing is kept of it", async () => {
  const running = await start({});
  sys.coolant(25);
  await eventually(
    async () => (await running.get<{ standing: unknown[] }>("/api/alarms")).standing.length > 0,
    "the alarm",
  );
  for (const way of (await ways()).values()) expect(way).toMatchObject({ setUp: false, waiting: 0, to: "" });
});
