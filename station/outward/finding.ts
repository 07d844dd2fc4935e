import { stat } from "node:fs/promises";
import { WAYS } from "../model/notice.js";
import type { Finding } from "../model/source.js";
import type { OutwardEntry } from "./entry.js";
import { hostOf, reachOf } from "./reach.js";
import { readAuthority, readSecret } from "./secrets.js";

const NAMES = { mail: "mail", mqtt: "MQTT", webhook: "webhook" } as const;

/** What is set up to tell somebody outside, and whether its files can be read. Connects to nothing. */
export async function checkOutward(entry: OutwardEntry | undefined): Promise<Finding[]> {
  const ways = WAYS.filter((way) => entry?.[way] !== undefined);
  if (entry === undefined || (ways.length === 0 && entry.heartbeat === undefined))
    return [
      {
        subject: "outward",
        ok: true,
        found: "nobody outside the shop is told of alarms (section outward of station.yaml)",
        mend: "",
      },
    ];
  const findings = ways.map(async (way): Promise<Finding> => {
    const subject = NAMES[way];
    const found = `tells ${reachOf(way, entry)} (not tried here: the page Alarms has a button for it)`;
    const wrong = await wrongWith(filesOf(entry, way));
    return wrong === null
      ? { subject, ok: true, found, mend: "" }
      : { subject, ok: false, found: wrong.found, mend: wrong.mend };
  });
  const heartbeat: Finding[] =
    entry.heartbeat === undefined
      ? []
      : [
          {
            subject: "heartbeat",
            ok: true,
            found: `every ${entry.heartbeat.every_min} min to ${hostOf(entry.heartbeat.url)}`,
            mend: "",
          },
        ];
  return [...(await Promise.all(findings)), ...heartbeat];
}

interface Files {
  readonly secret: string | undefined;
  readonly authority: string | undefined;
}

function filesOf({ mail, mqtt, webhook }: OutwardEntry, way: (typeof WAYS)[number]): Files {
  if (way === "webhook") return { secret: webhook?.secret_file, authority: undefined };
  const entry = way === "mail" ? mail : mqtt;
  return { secret: entry?.password_file, authority: entry?.ca_file };
}

async function wrongWith({ secret, authority }: Files): Promise<Pick<Finding, "found" | "mend"> | null> {
  try {
    await readSecret({ given: undefined, file: secret });
    await readAuthority(authority);
  } catch (error) {
    const found = error instanceof Error ? error.message : String(error);
    return { found, mend: "make the file, and give it to the user the station runs as (chmod 600)" };
  }
  if (secret === undefined) return null;
  const { mode } = await stat(secret);
  return (mode & 0o077) === 0
    ? null
    : { found: `others on this machine can read ${secret}`, mend: `chmod 600 ${secret}` };
}
