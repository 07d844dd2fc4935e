import { readFile } from "node:fs/promises";

/** Where a secret comes from: station.yaml itself, or a file of its own. */
export interface SecretPlace {
  readonly given: string | undefined;
  readonly file: string | undefined;
}

/** A file made with an editor or echo ends in a line end, which is no part of a password. */
export async function readSecret({ given, file }: SecretPlace): Promise<string | null> {
  if (given !== undefined) return given;
  if (file === undefined) return null;
  let text: string;
  try {
    text = await readFile(file, "utf8");
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : "";
    const why = { ENOENT: "it is not there", EACCES: "the station's user may not read it" }[code] ?? code;
    throw new Error(`the password could not be read from ${file}: ${why}`);
  }
  const secret = text.replace(/\r?\n$/, "");
  if (secret === "") throw new Error(`the password could not be read from ${file}: it is empty`);
  return secret;
}

/** PEM text; null where none is named. */
export async function readAuthority(file: string | undefined): Promise<string | null> {
  if (file === undefined) return null;
  try {
    return await readFile(file, "utf8");
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : "";
    throw new Error(`the certificate ${file} could not be read: ${code}`);
  }
}

/** Takes secrets out of what is to be shown, in the forms that libraries and servers give them back in. */
export function withoutSecrets(text: string, secrets: readonly (string | null)[]): string {
  let shown = text;
  for (const secret of secrets) {
    if (secret === null || secret === "") continue;
    const forms = [
      secret,
      encodeURIComponent(secret),
      encodeURI(secret),
      Buffer.from(secret).toString("base64"),
    ];
    for (const form of forms) shown = shown.replaceAll(form, "…");
  }
  return shown;
}
