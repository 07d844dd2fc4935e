import { randomUUID } from "node:crypto";
import { chmod, mkdir, open, readFile, rename, rm } from "node:fs/promises";
import { dirname, join } from "node:path";
import { z } from "zod";
import { LONGEST_PERSON, ROLES } from "../model/access.js";
import { textSchema } from "../model/channel.js";

/** Beside the journal, and in no export and no backup of it. */
export const ACCESS_FILE = "access.json";

const count = z.number().min(0);
const sumSchema = z.string().regex(/^[A-Za-z0-9_-]{43}$/);
/** More are refused as they are added: a file with more would not be read at the next start. */
export const MOST_PEOPLE = 100;

const hashSchema = z.string().startsWith("$argon2id$").max(300);

const personSchema = z.strictObject({
  id: z.uuid(),
  name: textSchema(LONGEST_PERSON).min(1),
  role: z.enum(ROLES),
  hash: hashSchema,
  sinceWall: count,
});
export type Person = Readonly<z.infer<typeof personSchema>>;

const keptSessionSchema = z.strictObject({
  id: z.uuid(),
  /** SHA-256 of the token in the cookie. */
  sum: sumSchema,
  kind: z.enum(["signed in", "paired", "wall"]),
  /** Null: the screen on the wall. */
  person: z.uuid().nullable(),
  name: textSchema(LONGEST_PERSON).min(1),
  /** At most this, whatever its person's is. */
  most: z.enum(ROLES),
  address: z.string().max(64),
  sinceWall: count,
  /** How long it has been, and since it was last used, as far as the station could tell. */
  ageMs: count,
  idleMs: count,
});
export type KeptSession = Readonly<z.infer<typeof keptSessionSchema>>;

const accessFileSchema = z.strictObject({
  version: z.literal(1),
  /** When this was written: what is past since then is told by it. */
  written: z.strictObject({
    wall: count,
    mono: count,
    boot: z.string().max(64),
    clock: z.enum(["synchronised", "not synchronised", "unknown"]),
  }),
  people: z.array(personSchema).max(MOST_PEOPLE),
  pin: z.strictObject({ hash: hashSchema.nullable(), idleMinutes: z.int().min(1).max(480) }),
  scraper: sumSchema.nullable(),
  /** Twenty of each person, and those without one. */
  sessions: z.array(keptSessionSchema).max(2100),
});
export type AccessFile = Readonly<z.infer<typeof accessFileSchema>>;

/**
 * What is kept of people and sessions; null where there is no such file.
 * @throws Error, without a word of what is in it, where it cannot be read or is not what the station writes
 */
export async function readAccessFile(folder: string): Promise<AccessFile | null> {
  const file = join(folder, ACCESS_FILE);
  let text: string;
  try {
    text = await readFile(file, "utf8");
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : "unknown";
    if (code === "ENOENT") return null;
    throw new Error(`${file} could not be read (${code}).`);
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    // What JSON.parse says has a piece of the text in it.
    throw new Error(`${file} is not JSON: it is damaged, or was changed by hand.`);
  }
  const parsed = accessFileSchema.safeParse(value);
  if (!parsed.success) {
    const where = parsed.error.issues[0]?.path.map(String).join(".") ?? "";
    throw new Error(`${file} is not as the station writes it, at "${where}".`);
  }
  return parsed.data;
}

/** Whole or not at all, also where the power goes; for its owner's eyes only. @throws Error of the disk */
export async function writeAccessFile(folder: string, content: AccessFile): Promise<void> {
  const file = join(folder, ACCESS_FILE);
  const made = `${file}.${randomUUID()}.partial`;
  await mkdir(dirname(file), { recursive: true });
  try {
    const handle = await open(made, "wx", 0o600);
    try {
      await handle.writeFile(`${JSON.stringify(content)}\n`);
      await handle.sync();
    } finally {
      await handle.close();
    }
    await chmod(made, 0o600);
    await rename(made, file);
    const above = await open(dirname(file), "r");
    await above.sync().finally(() => above.close());
  } catch (error) {
    await rm(made, { force: true }).catch(() => undefined);
    throw error;
  }
}
