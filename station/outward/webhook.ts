import { createHmac } from "node:crypto";
import type { WebhookEntry } from "./entry.js";
import type { OutwardEvent } from "./event.js";
import { hostOf } from "./reach.js";
import { readSecret, withoutSecrets } from "./secrets.js";
import { wordsOf } from "./words.js";

const ANSWER_WITHIN_MS = 15_000;

export interface WebhookWay {
  /** @throws Error with words for people, without the address's path or the secret */
  send(event: OutwardEvent, key: string, withinMs?: number): Promise<null>;
}

/** `sha256=` and the HMAC-SHA256 (RFC 2104) of the body, in hexadecimal: the receiver works out the same with the secret. */
export function signatureOf(body: string, secret: string): string {
  return `sha256=${createHmac("sha256", secret).update(body).digest("hex")}`;
}

export function createWebhookWay(entry: WebhookEntry): WebhookWay {
  const host = hostOf(entry.url);
  return {
    async send(event, key, withinMs = ANSWER_WITHIN_MS) {
      const secret = await readSecret({ given: entry.secret, file: entry.secret_file });
      const body = JSON.stringify(event);
      const { pathname, search, username, password } = new URL(entry.url);
      const hidden = [secret, entry.url, pathname.length > 1 ? pathname : null, search, username, password];
      let status: number;
      try {
        const response = await fetch(entry.url, {
          method: "POST",
          // Not followed: what is told here goes to the host that the owner named, and to no other.
          redirect: "manual",
          signal: AbortSignal.timeout(withinMs),
          headers: {
            "content-type": "application/json",
            // A string of RFC 8941, as the IETF's draft on this header wants it.
            "idempotency-key": `"${key}"`,
            ...(secret === null ? {} : { "station-signature": signatureOf(body, secret) }),
          },
          body,
        });
        ({ status } = response);
        await response.body?.cancel();
      } catch (error) {
        const late = error instanceof Error && error.name === "TimeoutError";
        const words = late ? `it has not answered within ${Math.round(withinMs / 1000)} s` : wordsOf(error);
        throw new Error(withoutSecrets(`${host}: ${words}`, hidden));
      }
      if (status >= 200 && status < 300) return null;
      const redirected =
        status >= 300 && status < 400
          ? ": it sends elsewhere, which is not followed; set the final address"
          : "";
      throw new Error(`${host}: it answered with status ${status}${redirected}`);
    },
  };
}
