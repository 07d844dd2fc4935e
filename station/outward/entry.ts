import { z } from "zod";
import { ALARM_KINDS, PRIORITIES, type Priority } from "../model/alarm.js";
import { textSchema } from "../model/channel.js";

const timeOfDay = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'a time of day such as "21:30", in quotes');
const hostSchema = z
  .string()
  .regex(
    /^(?:[A-Za-z0-9_](?:[A-Za-z0-9_.-]{0,251}[A-Za-z0-9])?|\[?[0-9A-Fa-f:]+\]?)$/,
    "the name or address of a server, without a port",
  );
const addressSchema = z
  .string()
  .max(254)
  .regex(/^[^\s@<>"(),;:\\[\]]+@[A-Za-z0-9.-]+$/, "one mail address such as owner@example.org");
const fileSchema = z.string().min(1).max(1000);
const secretSchema = z.string().min(1).max(1000);
const portSchema = z.int().min(1).max(65_535);
const webAddress = (schemes: string) =>
  z
    .string()
    .max(2000)
    .refine(
      (text) => new RegExp(`^(?:${schemes}):$`).test(schemeOf(text)),
      `a whole address, ${schemes.replace("|", ":// or ")}://…`,
    );

function schemeOf(text: string): string {
  return URL.canParse(text) ? new URL(text).protocol : "";
}

const priorities = (usual: readonly Priority[]) =>
  z
    .array(z.enum(PRIORITIES))
    .min(1)
    .default([...usual]);
const chosen = (usual: readonly Priority[], tell: "raised" | "all") => ({
  /** Alarms of these priorities. */
  priorities: priorities(usual),
  /** Kinds of alarms that this way is not told of. */
  except_kinds: z.array(z.enum(ALARM_KINDS)).default([]),
  /** `raised`: that an alarm waits for an answer. `all`: also that somebody acknowledged it, that it is over, and the rest. */
  tell: z.enum(["raised", "all"]).default(tell),
});

/** In the file, or better in one of its own that only the station's user can read. Never both. */
const oneOf =
  (first: string, second: string) => (value: Record<string, unknown>, context: z.RefinementCtx) => {
    if (value[first] === undefined || value[second] === undefined) return;
    context.addIssue({ code: "custom", path: [second], message: `either ${first} or ${second}, not both` });
  };

const mailSchema = z
  .strictObject({
    host: hostSchema,
    /** `starttls` on port 587, `tls` on 465, `none` on 25: only for a server on the same machine or network. */
    security: z.enum(["starttls", "tls", "none"]).default("starttls"),
    port: portSchema.optional(),
    user: textSchema(200).min(1).optional(),
    password: secretSchema.optional(),
    password_file: fileSchema.optional(),
    /** Certificate of the authority that signed the server's, PEM; only for a server of one's own. */
    ca_file: fileSchema.optional(),
    from: addressSchema,
    to: z.array(addressSchema).min(1).max(10),
    /** So many mails within ten minutes; what comes beyond goes into one together. */
    most_in_10_min: z.int().min(1).max(60).default(6),
    ...chosen(["urgent", "high"], "raised"),
  })
  .superRefine(oneOf("password", "password_file"))
  .superRefine(({ user, password, password_file: file, security }, context) => {
    const given = password !== undefined || file !== undefined;
    if (given && user === undefined)
      context.addIssue({ code: "custom", path: ["user"], message: "the user that the password is of" });
    if (!given && user !== undefined)
      context.addIssue({
        code: "custom",
        path: ["password_file"],
        message: "the file with this user's password",
      });
    if (given && security === "none")
      context.addIssue({
        code: "custom",
        path: ["security"],
        message: "starttls or tls: without, the password could be read on its way",
      });
  });

const mqttSchema = z
  .strictObject({
    /** mqtt://host:port, or mqtts:// for TLS. */
    url: webAddress("mqtts|mqtt").refine(
      (text) => !URL.canParse(text) || new URL(text).username === "",
      "an address without a user: user and password_file are settings of their own",
    ),
    user: textSchema(200).min(1).optional(),
    password: secretSchema.optional(),
    password_file: fileSchema.optional(),
    ca_file: fileSchema.optional(),
    /** All topics lie below it. */
    topic: z
      .string()
      .max(100)
      .regex(/^[^\s/+#\0$][^\s+#\0]*[^\s/+#\0]$/, "a topic such as workshop/station, without + and #")
      .default("workshop-station"),
    ...chosen(PRIORITIES, "all"),
  })
  .superRefine(oneOf("password", "password_file"));

const webhookSchema = z
  .strictObject({
    /** May carry a key of its own, and is not shown for that: only its host is. */
    url: webAddress("https|http"),
    /** Plain http, which anybody on the way can read: only for a receiver on the same machine or network. */
    allow_http: z.boolean().default(false),
    /** What the signature is made with. */
    secret: secretSchema.optional(),
    secret_file: fileSchema.optional(),
    ...chosen(PRIORITIES, "all"),
  })
  .superRefine(oneOf("secret", "secret_file"))
  .superRefine(({ url, allow_http: plain }, context) => {
    if (schemeOf(url) === "http:" && !plain)
      context.addIssue({
        code: "custom",
        path: ["url"],
        message: "an https:// address, or allow_http: true beside it",
      });
  });

const heartbeatSchema = z.strictObject({
  /** Asked for with GET every so many minutes while the station is well: whoever keeps it notices when that stops. */
  url: webAddress("https|http"),
  every_min: z.number().min(1).max(1440).default(5),
});

/** The section `outward` of station.yaml: who is told what happens in the shop, and how. */
export const outwardSchema = z.strictObject({
  /** Local time. Mails wait until it is over, but for those of urgent alarms. */
  quiet_hours: z
    .strictObject({ from: timeOfDay, to: timeOfDay })
    .refine(({ from, to }) => from !== to, "an end that is not the beginning")
    .optional(),
  /** Whether it is told that the station has started. */
  tell_start: z.boolean().default(false),
  mail: mailSchema.optional(),
  mqtt: mqttSchema.optional(),
  webhook: webhookSchema.optional(),
  heartbeat: heartbeatSchema.optional(),
});
export type OutwardEntry = z.infer<typeof outwardSchema>;
export type MailEntry = NonNullable<OutwardEntry["mail"]>;
export type MqttEntry = NonNullable<OutwardEntry["mqtt"]>;
export type WebhookEntry = NonNullable<OutwardEntry["webhook"]>;
export type HeartbeatEntry = NonNullable<OutwardEntry["heartbeat"]>;

/** What is said of a value that is not to be shown. */
export const WITHHELD = "a value that is not shown";
const SHOWN: ReadonlySet<PropertyKey> = new Set([
  ...["quiet_hours", "tell_start", "host", "port", "security", "from", "to", "topic", "every_min"],
  ...["priorities", "except_kinds", "tell", "most_in_10_min", "allow_http"],
]);

/**
 * Whether what stands at this place of station.yaml is not to be shown where it is wrong: a password, an address that may carry a
 * key, and whatever has a name that is not known, which may be a password under a slip of the pen.
 */
export function isWithheld(path: readonly PropertyKey[]): boolean {
  const name = path.findLast((part) => typeof part === "string");
  return path[0] === "outward" && (name === undefined || !SHOWN.has(name));
}
