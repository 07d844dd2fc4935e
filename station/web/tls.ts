import { createPrivateKey, X509Certificate } from "node:crypto";
import { readFile } from "node:fs/promises";
import { AppError } from "../errors.js";
import type { Finding } from "../model/source.js";

export interface TlsFiles {
  readonly cert: string;
  readonly key: string;
}

export interface TlsEntry {
  /** Paths of PEM files. */
  readonly cert: string;
  readonly key: string;
}

const DAY_MS = 86_400_000;
/** From then on the owner is told: time enough to get a new one. */
const SOON_DAYS = 21;

/** The owner's certificate with its key. @throws AppError `tls-unusable`, in words */
export async function readTls(entry: TlsEntry): Promise<TlsFiles> {
  const [cert, key] = await Promise.all([read(entry.cert, "web.tls.cert"), read(entry.key, "web.tls.key")]);
  const certificate = parsed(() => new X509Certificate(cert), entry.cert, "a certificate in PEM");
  const privateKey = parsed(
    () => createPrivateKey(key),
    entry.key,
    "a private key in PEM, without a passphrase",
  );
  if (!certificate.checkPrivateKey(privateKey)) {
    throw new AppError(
      "tls-unusable",
      `The key in ${entry.key} is not that of the certificate in ${entry.cert}.`,
    );
  }
  return { cert, key };
}

/** How long the certificate is good for, in words; null where that is long enough. @param wall milliseconds, UTC */
export function expiryWords({ cert }: Pick<TlsFiles, "cert">, wall: number): string | null {
  const { validTo, validFrom } = new X509Certificate(cert);
  const days = (Date.parse(validTo) - wall) / DAY_MS;
  if (days < 0) return `the certificate ran out on ${validTo}: browsers will refuse it`;
  if (days < SOON_DAYS) return `the certificate runs out in ${Math.floor(days)} days, on ${validTo}`;
  if (Date.parse(validFrom) > wall) return `the certificate is good only from ${validFrom} on`;
  return null;
}

/** Never throws. */
export async function checkTls(entry: TlsEntry, wall: number): Promise<Finding> {
  const subject = "certificate";
  try {
    const words = expiryWords(await readTls(entry), wall);
    return words === null
      ? { subject, ok: true, found: `${entry.cert} goes with its key`, mend: "" }
      : {
          subject,
          ok: false,
          found: words,
          mend: "get a new one, put it in place, and start the station again",
        };
  } catch (error) {
    const found = error instanceof Error ? error.message : String(error);
    return {
      subject,
      ok: false,
      found,
      mend: "give the paths of both in PEM, readable by the user the station runs as",
    };
  }
}

async function read(file: string, name: string): Promise<string> {
  try {
    return await readFile(file, "utf8");
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
    const why =
      code === "ENOENT"
        ? "it is not there"
        : code === "EACCES"
          ? "reading it is not permitted to the user the station runs as"
          : code;
    throw new AppError("tls-unusable", `${name}: ${file} could not be read: ${why}.`);
  }
}

function parsed<T>(make: () => T, file: string, expected: string): T {
  try {
    return make();
  } catch {
    throw new AppError("tls-unusable", `${file} is not what was expected: ${expected}.`);
  }
}
