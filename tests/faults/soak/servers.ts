import { existsSync } from "node:fs";
import {
  type Broker,
  freePort,
  type MailServer,
  type Receiver,
  startBroker,
  startMailServer,
  startReceiver,
} from "../../service/outward-servers.js";
import type { Ports } from "./shed.js";

/** What a server outside was given, and when, seconds from the start. */
export interface Receipt {
  readonly way: "mail" | "webhook";
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
  const broker = existsSync("/usr/sbin/mosquitto");
  const ports = { mail: await freePort(), webhook: await freePort(), mqtt: broker ? await freePort() : null };
  const receipts: Receipt[] = [];
  let open: [MailServer, Receiver, Broker | null] | null = null;

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
    const mqtt = ports.mqtt === null ? null : await startBroker(folder, { port: ports.mqtt });
    open = [mail, webhook, mqtt];
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
    },
    comeBack,
  };
}
