import nodemailer from "nodemailer";
import type { MailEntry } from "./entry.js";
import type { Taken } from "./outgoing.js";
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
   * @throws Error with words for people, without the password
   */
  send(mail: Mail, wall: number, withinMs?: number): Promise<Taken>;
}

interface Refusal {
  readonly recipient: string;
  /** The server's answer (RFC 5321, section 4.2.1): 4yz is for now, 5yz for good. */
  readonly responseCode?: number;
}

/** Of a mail that some have: to whom it still goes, and how many it was refused for. */
interface Rest {
  readonly to: readonly string[];
  readonly refused: number;
}

/** Beyond, what was put off longest ago goes to all again, as the same mail. */
const RESTS_REMEMBERED = 200;

/** A connection for each mail: they are few, and one that was left open is dead by the time it is wanted. */
export function createMailWay(entry: MailEntry): MailWay {
  const { host, security, user, from, to } = entry;
  /** By the mail's id. Not kept: after a start a mail goes to all again, and has the id it had. */
  const rests = new Map<string, Rest>();

  function takenWith(id: string, refusals: readonly Refusal[]): Taken {
    const later = refusals.filter((refusal) => !isForGood(refusal));
    const refused = (rests.get(id)?.refused ?? 0) + refusals.length - later.length;
    rests.delete(id);
    if (later.length > 0) rests.set(id, { to: later.map(({ recipient }) => recipient), refused });
    for (const oldest of rests.keys()) {
      if (rests.size <= RESTS_REMEMBERED) break;
      rests.delete(oldest);
    }
    if (refused === to.length) {
      const codes = [...new Set(refusals.map(({ responseCode }) => responseCode))].join(", ");
      const note = `${host} refuses every address for good (${codes}): see that they are right`;
      return { note, again: false, nobody: true };
    }
    const notes = [
      ...(refused > 0 ? [`${refused} of ${to.length} addresses were refused by ${host}`] : []),
      ...(later.length > 0 ? [`${later.length} of ${to.length} put off for now`] : []),
    ];
    return { note: notes.length === 0 ? null : notes.join(", "), again: later.length > 0, nobody: false };
  }

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
          envelope: { from, to: [...(rests.get(messageId)?.to ?? to)] },
          // RFC 3834: nobody's holiday notice is to answer it.
          headers: { "Auto-Submitted": "auto-generated" },
        });
        return takenWith(messageId, refusalsIn(await within(withinMs, sending, () => transport.close())));
      } catch (error) {
        const refusals = refusalsIn(error);
        // That nobody of those who are left is taken says nothing of the server: it took the mail for the others. Nor does it
        // where some are refused for good, who are not to be asked for again (RFC 5321, section 4.2.1).
        const answered = rests.has(messageId) || refusals.some(isForGood);
        if (refusals.length > 0 && answered) return takenWith(messageId, refusals);
        throw new Error(withoutSecrets(`${host}: ${mailWords(error)}`, [pass]));
      } finally {
        transport.close();
      }
    },
  };
}

function isForGood({ responseCode }: Refusal): boolean {
  return (responseCode ?? 0) >= 500;
}

/** Of what the mail library gives, sent or thrown: the answer for each address that was not taken. */
function refusalsIn(result: unknown): readonly Refusal[] {
  const { rejectedErrors } = result as { readonly rejectedErrors?: readonly Refusal[] };
  return rejectedErrors ?? [];
}

function mailWords(error: unknown): string {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  if (code === "EAUTH") return `it refuses user and password (${wordsOf(error)})`;
  if (code === "ETLS") return `no encrypted connection could be made (${wordsOf(error)})`;
  return wordsOf(error);
}
