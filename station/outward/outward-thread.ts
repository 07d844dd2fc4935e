/** The thread of the ways outward: a server that hangs, a certificate to be looked at, hold nothing else up. */
import { answerCalls } from "../journal/thread.js";
import type { CarriedNotice, CarrierCalls } from "./carrying.js";
import { type Heartbeat, startHeartbeat } from "./heartbeat.js";
import type { MailWay } from "./mail.js";
import type { MqttWay } from "./mqtt.js";
import type { Outgoing, Taken } from "./outgoing.js";
import type { WebhookWay } from "./webhook.js";

/** Without a word from the main thread for so long it counts as dead. */
const SILENT_MS = 30_000;
const LOOK_MS = 5_000;

interface Ways {
  readonly mail: MailWay | null;
  readonly mqtt: MqttWay | null;
  readonly webhook: WebhookWay | null;
}

let ways: Ways = { mail: null, mqtt: null, webhook: null };
let heartbeat: Heartbeat | null = null;
let lastBeat = performance.now();
let well = true;

function alive(): boolean {
  return well && performance.now() - lastBeat < SILENT_MS;
}

async function carry(message: Outgoing, withinMs: number | undefined): Promise<Taken> {
  const notSetUp = () => new Error("it is not set up");
  if (message.way === "mail") {
    if (ways.mail === null) throw notSetUp();
    return await ways.mail.send(message.mail, message.wall, withinMs);
  }
  if (message.way === "mqtt") {
    if (ways.mqtt === null) throw notSetUp();
    return { note: await ways.mqtt.send(message.event, withinMs), again: false, nobody: false };
  }
  if (ways.webhook === null) throw notSetUp();
  return { note: await ways.webhook.send(message.event, message.key, withinMs), again: false, nobody: false };
}

const looking = setInterval(() => ways.mqtt?.available(alive()), LOOK_MS);

const side = answerCalls<CarrierCalls>(
  {
    // Each way is loaded only where it is set up: a station that tells nobody carries none of them.
    async open(entry) {
      const { mail, mqtt, webhook } = entry;
      ways = {
        mail: mail === undefined ? null : (await import("./mail.js")).createMailWay(mail),
        mqtt: mqtt === undefined ? null : (await import("./mqtt.js")).createMqttWay(mqtt),
        webhook: webhook === undefined ? null : (await import("./webhook.js")).createWebhookWay(webhook),
      };
      if (entry.heartbeat !== undefined) heartbeat = startHeartbeat(entry.heartbeat, alive);
      return null;
    },
    send({ number, message, withinMs }) {
      const tell = (notice: CarriedNotice) => side.notify(notice);
      carry(message, withinMs ?? undefined).then(
        (taken) => tell({ number, error: null, taken }),
        (error: unknown) => tell({ number, error: error instanceof Error ? error.message : String(error) }),
      );
      return null;
    },
    states(alarms) {
      ways.mqtt?.states(alarms);
      return null;
    },
    beat(isWell) {
      lastBeat = performance.now();
      well = isWell;
      ways.mqtt?.available(alive());
      return null;
    },
    async close() {
      clearInterval(looking);
      heartbeat?.stop();
      await ways.mqtt?.close();
      return null;
    },
  },
  () => {
    clearInterval(looking);
    heartbeat?.stop();
  },
);
