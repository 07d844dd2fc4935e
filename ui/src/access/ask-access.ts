import type { AccessView, Me, PairingView, Role } from "../../../station/model/access.js";
import type { KeptDeed } from "../../../station/model/deed.js";
import { call } from "../link/ask.js";

/** Every question about who may do what. Each rejects with a `Refusal`. */
export const askAccess = {
  me: () => call<Me>("GET", "/access/me"),
  signIn: (name: string, passphrase: string) =>
    call<Me>("POST", "/access/sign-in", { body: { name, passphrase } }),
  signOut: () => call<Me>("POST", "/access/sign-out", { body: {} }),
  begin: (name: string, passphrase: string) =>
    call<Me>("POST", "/access/passphrase", { body: { name, passphrase } }),
  changeOwn: (current: string, passphrase: string) =>
    call<Me>("POST", "/access/my-passphrase", { body: { current, passphrase } }),
  enterPin: (pin: string) => call<Me>("POST", "/access/pin", { body: { pin } }),
  lock: () => call<Me>("POST", "/access/lock", { body: {} }),
  /** @param at the address that the phone will go to; null leaves it to the station */
  offerPairing: (role: Role, at: string | null) =>
    call<PairingView>("POST", "/access/pairings", { body: { role, ...(at === null ? {} : { at }) } }),
  pair: (token: string, name: string) => call<Me>("POST", "/access/pair", { body: { token, name } }),
  view: () => call<AccessView>("GET", "/access"),
  setPin: (pin: string | null, idleMinutes: number) =>
    call<AccessView>("PUT", "/access/pin", { body: { pin, idleMinutes } }),
  addPerson: (name: string, role: Role, passphrase: string) =>
    call<AccessView>("POST", "/access/people", { body: { name, role, passphrase } }),
  changeRole: (id: string, role: Role) =>
    call<AccessView>("PATCH", `/access/people/${id}`, { body: { role } }),
  removePerson: (id: string) => call<AccessView>("DELETE", `/access/people/${id}`),
  endSession: (id: string) => call<AccessView>("DELETE", `/access/sessions/${id}`),
  endOthers: () => call<AccessView>("DELETE", "/access/sessions"),
  newScraperToken: () => call<{ token: string }>("POST", "/access/scraper-token", { body: {} }),
  deeds: (before: number | null) =>
    call<{ deeds: KeptDeed[]; more: boolean }>(
      "GET",
      `/access/deeds?${new URLSearchParams({ limit: "50", ...(before === null ? {} : { before: String(before) }) })}`,
    ),
};
