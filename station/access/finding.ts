import { readFile, stat } from "node:fs/promises";
import { join } from "node:path";
import type { Finding } from "../model/source.js";
import { ACCESS_FILE, readAccessFile } from "./file.js";

export interface AccessQuestion {
  /** Of the journal. */
  readonly folder: string;
  /** As configured. */
  readonly host: string;
  /** Path of station.yaml; null for the simulated bench. */
  readonly config: string | null;
}

const OWN_HOSTS: ReadonlySet<string> = new Set(["localhost", "127.0.0.1", "::1"]);
/** What nobody but the user the station runs as should be allowed to do with a file. */
const OTHERS = 0o077;
const SECRET_LINE = /^\s*-?\s*(?:password|passphrase|secret|token)\s*:\s*\S/im;

/** Whether there is a passphrase, and whether others on the machine can read what is the station's alone. Never throws. */
export async function checkAccess({ folder, host, config }: AccessQuestion): Promise<Finding[]> {
  const files = [
    await openTo(folder, "readings, runs and who may sign in", "700"),
    await openTo(join(folder, ACCESS_FILE), "who may sign in", "600"),
    config !== null && (await hasSecret(config)) ? await openTo(config, "a password", "600") : null,
  ];
  return [await passphrase(folder, host), ...files.filter((finding) => finding !== null)];
}

async function passphrase(folder: string, host: string): Promise<Finding> {
  const subject = "sign-in";
  try {
    const file = await readAccessFile(folder);
    if (file !== null && file.people.length > 0) {
      const count = file.people.length === 1 ? "one person" : `${file.people.length} people`;
      return { subject, ok: true, found: `${count} can sign in, and everybody has to`, mend: "" };
    }
    const found =
      "no passphrase is set: the station listens on itself only, and whoever sits at it may do everything";
    if (OWN_HOSTS.has(host)) return { subject, ok: true, found, mend: "" };
    return {
      subject,
      ok: false,
      found: `${found}; ${host} under web is not listened to yet`,
      mend: "set one on the page Access of the station's own screen, or with npm run station -- passphrase",
    };
  } catch (error) {
    const found = `nobody can sign in: ${error instanceof Error ? error.message : String(error)}`;
    return { subject, ok: false, found, mend: "stop the station and run npm run station -- passphrase" };
  }
}

/** Null where nobody else can read it, or it is not there. */
async function openTo(path: string, what: string, mode: string): Promise<Finding | null> {
  const found = await stat(path).catch(() => null);
  if (found === null || (found.mode & OTHERS) === 0) return null;
  return {
    subject: path,
    ok: false,
    found: `other users of this machine can get at it, and it holds ${what}`,
    mend: `chmod ${mode} ${path}`,
  };
}

async function hasSecret(file: string): Promise<boolean> {
  return readFile(file, "utf8").then(
    (text) => SECRET_LINE.test(text),
    () => false,
  );
}
