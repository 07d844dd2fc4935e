import nodemailer from "nodemailer";
import type { MailEntry } from "./entry.js";
import { readAuthority, readSecret, withoutSecrets } from "./secrets.js";
import type { Mail } from "./wording.js";
import { within, wordsOf } from "./words.js";

const CONNECT_MS = 10_000;
/** Between two answers of the server. */
const SILENT_MS = 10_000;
const WHOLE_MS = 45_000;
const PORTS = { starttls: 587, tls: 465, none: 25 } as const;

export interface MailWay {
  /**
   * @param wall when it came to be, wall milliseconds: its Date, the same at every try
   * @returns what was not right although it was sent; null where all was
   * @throws Error with words for people, without the password
   */
  send(mail: Mail, wall: number, withinMs?: number): Promise<string | null>;
}

/** A connection for each mail: they are few, and one that was left open is dead by the time it is wanted. */
export function createMailWay(entry: MailEntry): MailWay {
  const { host, security, user, from, to } = entry;
  return {
    async send({ subject, text, messageId }, wall, withinMs = WHOLE_MS) {
      const pass = await readSecret({ given: entry.password, file: entry.password_file });
      const ca = await readAuthority(entry.ca_file);
      const transport = nodemailer.createTransport({
        ...{ host, port: entry.port ?? PORTS[security], secure: security === "tls" },
        // Whoever takes the word STARTTLS out of a server's greeting must not get the password in the clear.
        requireTLS: security === "starttls",
        ignoreTLS: security === "none",
        ...(user === undefined || pass === null ? {} : { auth: { user, pass } }),
        tls: { minVersion: "TLSv1.2", ...(ca === null ? {} : { ca }) },
        ...{ connectionTimeout: CONNECT_MS, greetingTimeout: SILENT_MS, socketTimeout: SILENT_MS },
        ...{ disableFileAccess: true, disableUrlAccess: true },
      });
      try {
        const sending = transport.sendMail({
          ...{ from, to, subject, text, messageId, date: new Date(wall) },
          // RFC 3834: nobody's holiday notice is to answer it.
          headers: { "Auto-Submitted": "auto-generated" },
        });
        const { rejected } = await within(withinMs, sending, () => transport.close());
        return rejected.length === 0
          ? null
          : `${rejected.length} of ${to.length} addresses were refused by ${host}`;
      } catch (error) {
        throw new Error(withoutSecrets(`${host}: ${mailWords(error)}`, [pass]));
      } finally {
        transport.close();
      }
    },
  };
}

function mailWords(error: unknown): string {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  if (code === "EAUTH") return `it refuses user and password (${wordsOf(error)})`;
  if (code === "ETLS") return `no encrypted connection could be made (${wordsOf(error)})`;
  return wordsOf(error);
}
