import { writeFileSync } from "node:fs";
import { join } from "node:path";
import mqtt from "mqtt";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { outwardSchema } from "../../station/outward/entry.js";
import { eventOf } from "../../station/outward/event.js";
import { createMailWay } from "../../station/outward/mail.js";
import { createMqttWay, type MqttWay } from "../../station/outward/mqtt.js";
import type { Told } from "../../station/outward/told.js";
import { createWebhookWay, signatureOf } from "../../station/outward/webhook.js";
import { mailOf } from "../../station/outward/wording.js";
import {
  freePort,
  selfSigned,
  startBroker,
  startMailServer,
  startReceiver,
  startSilentServer,
} from "./outward-servers.js";
import { eventually, temporaryFolder } from "./station-process.js";

const SECRET = "wren&Kiln 4711/ü";
const WALL = Date.UTC(2026, 4, 4, 9, 0, 0);
const TOLD: Told = {
  ...{ id: "start-1-7", what: "alarm", station: "Back shed", simulated: false, alarm: "coolant-high" },
  ...{ kind: "coolant-high", title: "Coolant too warm", priority: "high", transition: "raised" },
  ...{ state: "unacknowledged", detail: "Coolant 23.1 °C, setpoint 22 °C", by: null, wall: WALL },
  ...{ consequence: "The tube may crack.", action: "Stop cutting.", clock: "synchronised" },
};
const MAIL = mailOf([TOLD], "mail:start-1-7", "shop.example", (wall) => new Date(wall).toISOString());
const EVENT = eventOf(TOLD);

let folder: string;
let cleaning: (() => unknown)[] = [];
beforeEach(() => {
  const made = temporaryFolder();
  folder = made.folder;
  cleaning = [made.remove];
});
afterEach(async () => {
  for (const clean of cleaning.reverse()) await clean();
});

function stopped<T extends { stop(): Promise<void> }>(server: T): T {
  cleaning.push(() => server.stop());
  return server;
}

async function refused(promise: Promise<unknown>): Promise<string> {
  return await promise.then(
    () => "it was taken",
    (error: unknown) => (error as Error).message,
  );
}

function secretFile(text = `${SECRET}\n`): string {
  const file = join(folder, "secret");
  writeFileSync(file, text, { mode: 0o600 });
  return file;
}

describe("mail", () => {
  const way = (port: number, changes: object = {}) => {
    const mail = {
      host: "127.0.0.1",
      port,
      security: "none",
      from: "station@shop.example",
      to: ["a@b.example"],
    };
    const entry = outwardSchema.parse({ mail: { ...mail, ...changes } }).mail;
    return createMailWay(entry as NonNullable<typeof entry>);
  };

  it("arrives with its words, its own id and the date of what it tells", async () => {
    const server = stopped(await startMailServer());
    expect(await way(server.port, { to: ["a@b.example", "c@d.example"] }).send(MAIL, WALL)).toEqual({
      ...{ note: null, again: false, nobody: false },
    });
    const [mail] = server.received;
    expect(mail?.to).toEqual(["a@b.example", "c@d.example"]);
    expect(mail?.messageId).toBe(MAIL.messageId);
    expect(mail?.text).toMatch(/^Subject: High: Coolant too warm \(Back shed\)$/m);
    expect(mail?.text).toMatch(/^Date: Mon, 04 May 2026 09:00:00 \+0000$/m);
    expect(mail?.text).toMatch(/^Auto-Submitted: auto-generated$/m);
    expect(mail?.text).toContain("Stop cutting.");
  });

  it("goes again only to whom the server put off for now, as the same mail; who is refused for good is told of", async () => {
    const statuses = new Map([
      ["late@b.example", 451],
      ["gone@b.example", 550],
    ]);
    const server = stopped(await startMailServer({ onAddress: (address) => statuses.get(address) ?? null }));
    const mail = way(server.port, { to: ["late@b.example", "a@b.example", "gone@b.example"] });
    const refusedOne = "1 of 3 addresses were refused by 127.0.0.1";
    const putOff = {
      note: `${refusedOne}, 1 of 3 put off for now`,
      again: true,
      nobody: false,
    };
    expect(await mail.send(MAIL, WALL)).toEqual(putOff);
    expect(await mail.send(MAIL, WALL)).toEqual(putOff);
    statuses.delete("late@b.example");
    expect(await mail.send(MAIL, WALL)).toEqual({ note: refusedOne, again: false, nobody: false });
    expect(server.received.map(({ to }) => to)).toEqual([["a@b.example"], ["late@b.example"]]);
    const [first, second] = server.received;
    expect(second?.text.replace(/boundary.*/g, "")).toBe(first?.text.replace(/boundary.*/g, ""));
  });

  it("that every address is refused for good of is not to be sent again, and one that some are put off of is", async () => {
    const statuses = new Map([
      ["gone@b.example", 550],
      ["late@b.example", 451],
    ]);
    const server = stopped(await startMailServer({ onAddress: (address) => statuses.get(address) ?? null }));
    const gone = {
      note: "127.0.0.1 refuses every address for good (550): see that they are right",
      ...{ again: false, nobody: true },
    };
    expect(await way(server.port, { to: ["gone@b.example"] }).send(MAIL, WALL)).toEqual(gone);
    const both = way(server.port, { to: ["gone@b.example", "late@b.example"] });
    const note = "1 of 2 addresses were refused by 127.0.0.1, 1 of 2 put off for now";
    expect(await both.send(MAIL, WALL)).toEqual({ note, again: true, nobody: false });
    // Whoever was refused for good is not asked for again, though the server would take it now.
    statuses.delete("gone@b.example");
    statuses.set("late@b.example", 550);
    expect(await both.send(MAIL, WALL)).toEqual(gone);
    expect(server.received).toEqual([]);
  });

  it("that no address is taken of has failed", async () => {
    const server = stopped(await startMailServer({ onAddress: () => 451 }));
    expect(await refused(way(server.port).send(MAIL, WALL))).toMatch(/^127\.0\.0\.1: .*451/);
  });

  it("is encrypted and signed in for, with a server of one's own", async () => {
    const tls = selfSigned(folder);
    const server = stopped(await startMailServer({ tls, user: "shed", password: SECRET }));
    const asked = { security: "starttls", user: "shed", password_file: secretFile(), host: "localhost" };
    expect(await refused(way(server.port, asked).send(MAIL, WALL))).toMatch(/signed by nobody that is known/);
    await way(server.port, { ...asked, ca_file: tls.cert }).send(MAIL, WALL);
    expect(server.received).toMatchObject([{ encrypted: true }]);
  });

  it("is not sent in the clear to a server that offers no encryption, and the password neither", async () => {
    const server = stopped(await startMailServer({ user: "shed", password: SECRET }));
    const asked = { security: "starttls", user: "shed", password_file: secretFile() };
    expect(await refused(way(server.port, asked).send(MAIL, WALL))).toMatch(/^127\.0\.0\.1: /);
    expect(server.received).toEqual([]);
  });

  it("that is refused says why, without the password, whatever the server says", async () => {
    const tls = selfSigned(folder);
    const server = stopped(await startMailServer({ tls, user: "shed", password: "another" }));
    const asked = {
      security: "starttls",
      user: "shed",
      password: SECRET,
      host: "localhost",
      ca_file: tls.cert,
    };
    const words = await refused(way(server.port, asked).send(MAIL, WALL));
    expect(words).toMatch(/it refuses user and password .*no such user shed with …/);
    expect(words).not.toContain("Kiln");
    expect(await refused(way(await freePort()).send(MAIL, WALL))).toBe(
      "127.0.0.1: nothing listens at this address and port",
    );
    const none = { security: "tls", user: "shed", password_file: join(folder, "nothing") };
    expect(await refused(way(server.port, none).send(MAIL, WALL))).toMatch(/it is not there/);
  });

  it("gives up on a server that takes the connection and says nothing, and on one that breaks off", async () => {
    const silent = stopped(await startSilentServer());
    expect(await refused(way(silent.port).send(MAIL, WALL, 300))).toMatch(/has not answered within/);
    const server = stopped(await startMailServer({ onMail: () => "break-off" }));
    expect(await refused(way(server.port).send(MAIL, WALL))).toMatch(/^127\.0\.0\.1: /);
    expect(server.received).toHaveLength(1);
  });
});

describe("the webhook", () => {
  const way = (port: number, changes: object = {}) => {
    const webhook = { url: `http://127.0.0.1:${port}/in/k3y?token=t0ken`, allow_http: true, ...changes };
    const entry = outwardSchema.parse({ webhook }).webhook;
    return createWebhookWay(entry as NonNullable<typeof entry>);
  };

  it("is given the event with a key of its own, signed with the secret, the same each time", async () => {
    const server = stopped(await startReceiver());
    const hook = way(server.port, { secret_file: secretFile() });
    for (let i = 0; i < 2; i++) await hook.send(EVENT, "webhook:start-1-7");
    const [first, second] = server.posted;
    expect(JSON.parse(first?.body ?? "")).toEqual(EVENT);
    expect(first?.headers).toMatchObject({
      "content-type": "application/json",
      "idempotency-key": '"webhook:start-1-7"',
      "station-signature": signatureOf(first?.body ?? "", SECRET),
    });
    expect([second?.body, second?.headers["station-signature"]]).toEqual([
      first?.body,
      first?.headers["station-signature"],
    ]);
  });

  it("is signed as RFC 4231 has it (test case 2)", () => {
    expect(signatureOf("what do ya want for nothing?", "Jefe")).toBe(
      "sha256=5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
    );
  });

  it("is not followed elsewhere", async () => {
    const elsewhere = stopped(await startReceiver());
    const server = stopped(await startReceiver(() => `http://127.0.0.1:${elsewhere.port}/`));
    const words = await refused(way(server.port).send(EVENT, "k"));
    expect(words).toMatch(/status 307: it sends elsewhere, which is not followed/);
    expect(elsewhere.posted).toEqual([]);
  });

  it("that fails says why, without its address", async () => {
    const silent = stopped(await startSilentServer());
    const cases: [string, RegExp][] = [
      [await refused(way(stopped(await startReceiver(() => 500)).port).send(EVENT, "k")), /status 500/],
      [
        await refused(way(stopped(await startReceiver(() => null)).port).send(EVENT, "k")),
        /broke the connection off/,
      ],
      [await refused(way(await freePort()).send(EVENT, "k")), /nothing listens/],
      [await refused(way(silent.port).send(EVENT, "k", 200)), /has not answered within/],
    ];
    for (const [words, expected] of cases) {
      expect(words).toMatch(expected);
      expect(words).not.toMatch(/k3y|t0ken/);
    }
  });
});

describe("MQTT", () => {
  const way = (port: number, changes: object = {}): MqttWay => {
    const entry = outwardSchema.parse({
      mqtt: { url: `mqtt://127.0.0.1:${port}`, topic: "shop/station", ...changes },
    }).mqtt;
    const made = createMqttWay(entry as NonNullable<typeof entry>);
    cleaning.push(() => made.close());
    return made;
  };
  /** Everything below the station's topic, with what the broker kept marked by a star. */
  async function listener(port: number, options: object = {}): Promise<[string, string][]> {
    const heard: [string, string][] = [];
    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`, options);
    cleaning.push(() => client.endAsync(true));
    client.on("message", (topic, payload, { retain }) =>
      heard.push([topic + (retain ? "*" : ""), payload.toString()]),
    );
    await client.subscribeAsync("shop/station/#", { qos: 1 });
    return heard;
  }
  const sent = (hook: MqttWay) => eventually(async () => (await hook.send(EVENT)) === null, "the event");
  const STATE = {
    alarm: "sensor-dead:a/b+c",
    title: "Probe",
    priority: "low",
    state: "normal",
    detail: "",
    since: null,
  };

  it("tells events, keeps how every alarm stands for who comes later, and says online and offline", async () => {
    const broker = stopped(await startBroker(folder));
    const heard = await listener(broker.port);
    const hook = way(broker.port);
    hook.states([STATE]);
    await sent(hook);
    hook.states([{ ...STATE, state: "unacknowledged" }]);
    await eventually(() => heard.length >= 4, "all of it");
    expect(heard).toContainEqual(["shop/station/event", JSON.stringify(EVENT)]);
    const late = await listener(broker.port);
    await eventually(() => late.length >= 2, "what is kept");
    expect(new Map(late)).toEqual(
      new Map([
        ["shop/station/availability*", "online"],
        ["shop/station/alarm/sensor-dead:a_b_c*", JSON.stringify({ ...STATE, state: "unacknowledged" })],
      ]),
    );
    hook.available(false);
    await eventually(() => heard.at(-1)?.[1] === "offline", "what a station is that does not work");
    hook.available(true);
    await eventually(() => heard.at(-1)?.[1] === "online", "that it is well again");
    await hook.close();
    await eventually(() => heard.at(-1)?.[1] === "offline", "the end");
  });

  it("waits for a broker that is not there, and tells all again to one that has forgotten", async () => {
    const port = await freePort();
    const hook = way(port);
    hook.states([STATE]);
    await eventually(async () => /nothing listens/.test(await refused(hook.send(EVENT))), "the words");
    const first = await startBroker(folder, { port });
    await sent(hook);
    await first.stop();
    await eventually(async () => (await refused(hook.send(EVENT))) !== "it was taken", "that it is gone");
    stopped(await startBroker(folder, { port }));
    const heard = await listener(port);
    await eventually(() => heard.length >= 2, "what it is told again");
    expect(
      new Map(heard.map(([topic, text]) => [topic.replace("*", ""), text])).get("shop/station/availability"),
    ).toBe("online");
  });

  it("is told when the password is wrong, without it, and takes the right one as soon as the file has it", async () => {
    const broker = stopped(await startBroker(folder, { user: "shed", password: SECRET }));
    const file = secretFile("wrong&secret\n");
    const hook = way(broker.port, { user: "shed", password_file: file });
    const words = await eventually(async () => {
      const said = await refused(hook.send(EVENT));
      return said.includes("refuses") && said;
    }, "the words");
    expect(words).toMatch(/it refuses user and password/);
    expect(words).not.toContain("wrong&secret");
    writeFileSync(file, `${SECRET}\n`);
    await sent(hook);
  });

  it("gives up on a broker that takes the connection and says nothing", async () => {
    const silent = stopped(await startSilentServer());
    const hook = way(silent.port);
    expect(await refused(hook.send(EVENT))).toMatch(/no connection yet/);
  });
});
