import { createHash } from "node:crypto";
import { hostname } from "node:os";
import mqtt, { type MqttClient } from "mqtt";
import type { MqttEntry } from "./entry.js";
import type { OutwardEvent } from "./event.js";
import type { AlarmStanding } from "./outgoing.js";
import { hostOf } from "./reach.js";
import { readAuthority, readSecret, withoutSecrets } from "./secrets.js";
import { within, wordsOf } from "./words.js";

const KEEPALIVE_S = 15;
const RECONNECT_MS = 5_000;
const CONNECT_MS = 10_000;
const ANSWER_WITHIN_MS = 15_000;
const CLOSE_WITHIN_MS = 2_000;
/** Return codes 4 and 5 of MQTT 3.1.1: bad user name or password, not authorised. */
const REFUSED_CODES: ReadonlySet<number> = new Set([4, 5]);

export interface MqttWay {
  /** Resolves once the broker has it (QoS 1). @throws Error with words for people, without the password */
  send(event: OutwardEvent, withinMs?: number): Promise<null>;
  /** How all alarms stand: kept by the broker for whoever comes later, told where it changed, and again at each connection. */
  states(alarms: readonly AlarmStanding[]): void;
  /** Whether the station is alive, as far as this thread is told. */
  available(alive: boolean): void;
  close(): Promise<void>;
}

/** A level of a topic: what MQTT gives a meaning of its own is replaced. */
function level(text: string): string {
  return text.replace(/[/+#\0]/g, "_");
}

/**
 * Keeps a connection, so that its end is noticed: the broker then tells everybody "offline" (the last will), at once where the
 * station was killed, and after a time and a half the keep-alive where its power or network went.
 */
export function createMqttWay(entry: MqttEntry): MqttWay {
  const { url, topic } = entry;
  const host = hostOf(url);
  let client: MqttClient | null = null;
  let secret: string | null = null;
  let error: string | null = null;
  let alive = true;
  let closed = false;
  let wanted: readonly AlarmStanding[] = [];
  /** What the broker was given over this connection. */
  let given = new Map<string, string>();
  const place = { given: entry.password, file: entry.password_file };
  const under = (name: string) => `${topic}/${name}`;
  const shown = (words: string) => withoutSecrets(`${host}: ${words}`, [secret]);

  async function connect(): Promise<void> {
    try {
      secret = await readSecret(place);
      const ca = await readAuthority(entry.ca_file);
      if (closed) return;
      client = mqtt.connect(url, {
        // The same after a restart: the broker then ends what is left of the connection before, and its last will comes first.
        clientId: `station-${createHash("sha256").update(`${hostname()} ${topic}`).digest("hex").slice(0, 12)}`,
        ...(entry.user === undefined ? {} : { username: entry.user }),
        ...(secret === null ? {} : { password: secret }),
        ...(ca === null ? {} : { ca }),
        ...{ keepalive: KEEPALIVE_S, reconnectPeriod: RECONNECT_MS, connectTimeout: CONNECT_MS },
        ...{
          clean: true,
          queueQoSZero: false,
          reconnectOnConnackError: true,
          resubscribe: false,
          protocolVersion: 4,
        },
        will: { topic: under("availability"), payload: Buffer.from("offline"), qos: 1, retain: true },
      });
    } catch (thrown) {
      error = shown(wordsOf(thrown));
      setTimeout(() => void connect(), RECONNECT_MS);
      return;
    }
    client.on("connect", () => {
      error = null;
      given = new Map();
      tellStates();
      tellAvailable();
    });
    client.on("error", (thrown) => {
      error = shown(refusedWords(thrown));
      if (refusedCode(thrown)) void renewSecret();
    });
    client.on("close", () => {
      error ??= shown("the connection is lost");
    });
  }

  /** The owner may have put the right one into the file meanwhile. */
  async function renewSecret(): Promise<void> {
    try {
      secret = await readSecret(place);
      if (client !== null && secret !== null) client.options.password = secret;
    } catch (thrown) {
      error = shown(wordsOf(thrown));
    }
  }

  function keepAtBroker(name: string, text: string): void {
    if (client?.connected !== true || given.get(name) === text) return;
    given.set(name, text);
    client.publish(under(name), text, { qos: 1, retain: true }, (failure) => {
      if (failure) given.delete(name);
    });
  }

  function tellStates(): void {
    for (const state of wanted) keepAtBroker(`alarm/${level(state.alarm)}`, JSON.stringify(state));
  }

  function tellAvailable(): void {
    keepAtBroker("availability", alive ? "online" : "offline");
  }

  void connect();

  return {
    async send(event, withinMs = ANSWER_WITHIN_MS) {
      const open = client;
      if (open?.connected !== true) throw new Error(error ?? shown("there is no connection yet"));
      const sending = open.publishAsync(under("event"), JSON.stringify(event), { qos: 1 });
      try {
        await within(withinMs, sending, () => {});
      } catch (thrown) {
        throw new Error(shown(wordsOf(thrown)));
      }
      return null;
    },
    states(alarms) {
      wanted = alarms;
      tellStates();
    },
    available(now) {
      alive = now;
      tellAvailable();
    },
    async close() {
      closed = true;
      const open = client;
      if (open === null) return;
      // A connection that is ended in order has no last will: what that says is said here.
      if (open.connected) {
        const last = open.publishAsync(under("availability"), "offline", { qos: 1, retain: true });
        await within(CLOSE_WITHIN_MS, last, () => {}).catch(() => {});
      }
      await within(CLOSE_WITHIN_MS, open.endAsync(!open.connected), () => open.stream?.destroy()).catch(
        () => {},
      );
    },
  };
}

function refusedCode(error: unknown): boolean {
  return error instanceof Error && "code" in error && REFUSED_CODES.has(Number(error.code));
}

function refusedWords(error: unknown): string {
  return refusedCode(error) ? `it refuses user and password (${wordsOf(error)})` : wordsOf(error);
}
