import { existsSync } from "node:fs";
import mqtt, { type MqttClient } from "mqtt";
import type { OutwardEvent } from "../../../station/outward/event.js";
import {
  type Broker,
  freePort,
  type MailServer,
  type Receiver,
  startBroker,
  startMailServer,
  startReceiver,
} from "../../service/outward-servers.js";
import { type Ports, TOPIC } from "./shed.js";

/** What a server outside was given, and when, seconds from the start. */
export interface Receipt {
  readonly way: "mail" | "mqtt" | "webhook";
  readonly key: string;
  readonly atS: number;
}

/** The servers of the network outside, which may be away for a day. */
export interface Outside {
  readonly ports: Ports;
  readonly receipts: readonly Receipt[];
  readonly up: boolean;
  goAway(): Promise<void>;
  comeBack(): Promise<void>;
}

/** @param nowS seconds from the start */
export async function openOutside(folder: string, nowS: () => number): Promise<Outside> {
  const hasBroker = existsSync("/usr/sbin/mosquitto");
  const ports = {
    ...{ mail: await freePort(), webhook: await freePort() },
    mqtt: hasBroker ? await freePort() : null,
  };
  const receipts: Receipt[] = [];
  let open: [MailServer, Receiver, Broker | null] | null = null;
  let subscriber: MqttClient | null = null;

  /** Somebody who hears all that the broker is told. */
  async function subscribed(port: number): Promise<MqttClient> {
    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`, { reconnectPeriod: 0 });
    client.on("error", () => undefined);
    client.on("message", (_, payload) => {
      const { id } = JSON.parse(payload.toString()) as OutwardEvent;
      receipts.push({ way: "mqtt", key: `mqtt:${id}`, atS: nowS() });
    });
    await client.subscribeAsync(`${TOPIC}/event`, { qos: 1 });
    return client;
  }

  async function comeBack(): Promise<void> {
    const mail = await startMailServer({
      port: ports.mail,
      onMail({ messageId }) {
        receipts.push({ way: "mail", key: messageId, atS: nowS() });
        return "take";
      },
    });
    const webhook = await startReceiver(({ headers }) => {
      const key = String(headers["idempotency-key"]).replace(/^"|"$/g, "");
      receipts.push({ way: "webhook", key, atS: nowS() });
      return 204;
    }, ports.webhook);
    const broker = ports.mqtt === null ? null : await startBroker(folder, { port: ports.mqtt });
    open = [mail, webhook, broker];
    subscriber = ports.mqtt === null ? null : await subscribed(ports.mqtt);
  }

  await comeBack();
  return {
    ports,
    receipts,
    get up() {
      return open !== null;
    },
    async goAway() {
      const all = open;
      open = null;
      for (const server of all ?? []) await server?.stop();
      // After the broker: what it has taken is passed on first.
      await subscriber?.endAsync(true);
    },
    comeBack,
  };
}
