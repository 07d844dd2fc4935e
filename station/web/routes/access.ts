import { type Request, type Response, Router } from "express";
import { z } from "zod";
import type { Access } from "../../access/access.js";
import {
  type AccessView,
  LONGEST_PASSPHRASE,
  LONGEST_PERSON,
  LONGEST_PIN,
  type Me,
  type PairingView,
  ROLES,
} from "../../model/access.js";
import { textSchema } from "../../model/channel.js";
import type { KeptDeed } from "../../model/deed.js";
import { cookieOf, noCookie } from "../cookie.js";
import { callerOf } from "../gate.js";
import { valid, wholeNumber } from "../validate.js";

export interface DeedsPage {
  readonly deeds: readonly KeptDeed[];
  readonly more: boolean;
}

export interface AccessService {
  readonly access: Access;
  /** Who did what, newest first. */
  readonly deeds: (query: { before?: number; limit: number }) => Promise<DeedsPage>;
  /** A pairing as it is shown: with the address of this station that a phone finds it at. */
  readonly shown: (
    token: string,
    role: PairingView["role"],
    endsInMs: number,
    at: string | undefined,
  ) => PairingView;
}

const secret = (most: number) =>
  z
    .string()
    .min(1)
    .max(most * 4);
const passphrase = secret(LONGEST_PASSPHRASE);
const name = textSchema(LONGEST_PERSON).refine((text) => text.trim() !== "", "a name");
const role = z.enum(ROLES);
const signInSchema = z.strictObject({ name, passphrase });
const firstSchema = z.strictObject({ name: name.default("Owner"), passphrase });
const changeOwnSchema = z.strictObject({ current: passphrase, passphrase });
const pinSchema = z.strictObject({ pin: secret(LONGEST_PIN) });
const setPinSchema = z.strictObject({
  pin: secret(LONGEST_PIN).nullable(),
  idleMinutes: z.int().min(1).max(480).default(10),
});
const personSchema = z.strictObject({ name, role, passphrase });
const personChangeSchema = z
  .strictObject({ role: role.optional(), passphrase: passphrase.optional() })
  .refine((change) => Object.keys(change).length > 0, "a role or a passphrase");
const offerSchema = z.strictObject({ role, at: z.string().max(100).optional() });
const pairSchema = z.strictObject({ token: z.string().max(100), name });
const deedsSchema = z.strictObject({
  before: wholeNumber(1, Number.MAX_SAFE_INTEGER).optional(),
  limit: wholeNumber(1, 200).default(50),
});
const idSchema = z.object({ id: z.uuid() });

/** Signing in and out, pairing, and who may do so. What comes in here is never logged. */
export function accessRoutes({ access, shown, deeds }: AccessService): Router {
  const routes = Router();

  const begun = (request: Request, response: Response, token: string) => {
    response.set("Set-Cookie", cookieOf(request, token));
    const { here, address } = callerOf(response);
    response.json(access.me(access.caller(token, { here, address })) satisfies Me);
  };
  const viewed = (response: Response) => response.json(access.view(callerOf(response)) satisfies AccessView);

  routes.get("/access/me", (_request, response) => {
    response.json(access.me(callerOf(response)));
  });
  routes.post("/access/sign-in", async (request, response) => {
    const asked = valid(signInSchema, request.body, "body");
    begun(request, response, await access.signIn(callerOf(response), asked.name, asked.passphrase));
  });
  routes.post("/access/sign-out", async (request, response) => {
    const caller = callerOf(response);
    await access.signOut(caller);
    response.set("Set-Cookie", noCookie(request));
    response.json(access.me(access.caller(null, caller)));
  });
  routes.post("/access/passphrase", async (request, response) => {
    const asked = valid(firstSchema, request.body, "body");
    const caller = callerOf(response);
    await access.begin(caller, asked.name, asked.passphrase);
    begun(request, response, await access.signIn(caller, asked.name, asked.passphrase));
  });
  routes.post("/access/my-passphrase", async (request, response) => {
    const asked = valid(changeOwnSchema, request.body, "body");
    begun(
      request,
      response,
      await access.changePassphrase(callerOf(response), asked.current, asked.passphrase),
    );
  });
  routes.post("/access/pin", async (request, response) => {
    const { pin } = valid(pinSchema, request.body, "body");
    begun(request, response, await access.enterPin(callerOf(response), pin));
  });
  routes.post("/access/lock", (_request, response) => {
    access.lock(callerOf(response));
    response.json(access.me(access.again(callerOf(response))));
  });
  routes.post("/access/pairings", (request, response) => {
    const asked = valid(offerSchema, request.body, "body");
    const { token, endsInMs } = access.offer(callerOf(response), asked.role);
    response.status(201).json(shown(token, asked.role, endsInMs, asked.at));
  });
  routes.post("/access/pair", async (request, response) => {
    const asked = valid(pairSchema, request.body, "body");
    begun(request, response, await access.pair(callerOf(response), asked.token, asked.name));
  });

  routes.get("/access", (_request, response) => {
    viewed(response);
  });
  routes.get("/access/deeds", async (request, response) => {
    const { before, limit } = valid(deedsSchema, request.query, "query");
    response.json(await deeds({ limit, ...(before === undefined ? {} : { before }) }));
  });
  routes.put("/access/pin", async (request, response) => {
    const { pin, idleMinutes } = valid(setPinSchema, request.body, "body");
    await access.setPin(callerOf(response), pin, idleMinutes);
    viewed(response);
  });
  routes.post("/access/people", async (request, response) => {
    await access.add(callerOf(response), valid(personSchema, request.body, "body"));
    response.status(201);
    viewed(response);
  });
  routes.patch("/access/people/:id", async (request, response) => {
    const { id } = valid(idSchema, request.params, "address");
    await access.change(callerOf(response), id, valid(personChangeSchema, request.body, "body"));
    viewed(response);
  });
  routes.delete("/access/people/:id", async (request, response) => {
    await access.remove(callerOf(response), valid(idSchema, request.params, "address").id);
    viewed(response);
  });
  routes.delete("/access/sessions", async (_request, response) => {
    await access.endOthers(callerOf(response));
    viewed(response);
  });
  routes.delete("/access/sessions/:id", async (request, response) => {
    await access.endSession(callerOf(response), valid(idSchema, request.params, "address").id);
    viewed(response);
  });
  routes.post("/access/scraper-token", async (_request, response) => {
    response.status(201).json({ token: await access.newScraperToken(callerOf(response)) });
  });
  return routes;
}
