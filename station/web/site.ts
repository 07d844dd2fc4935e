import type { AddressInfo } from "node:net";
import { type Access, createAccess } from "../access/access.js";
import { deedOf, type TellDeed } from "../access/deeds.js";
import type { AccessStore } from "../access/store.js";
import { AppError } from "../errors.js";
import type { Log } from "../log.js";
import type { Clock } from "../model/instant.js";
import { createApp, type Services } from "./app.js";
import { createDoors } from "./doors.js";
import type { Gate } from "./gate.js";
import { createLive, type Live, type LiveParts } from "./live.js";
import { createOriginOf } from "./origin-of.js";
import { createOwnNames } from "./own-names.js";
import { createRates } from "./rates.js";
import { networkView, shownPairing } from "./reach.js";
import { expiryWords, type TlsFiles } from "./tls.js";

/** A page of charts asks some dozens of questions at once, and a screen full of history some hundred. */
const QUESTIONS_AT_ONCE = 400;
const QUESTIONS_PER_SECOND = 40;

export interface SiteParts {
  readonly web: {
    readonly host: string;
    readonly port: number;
    readonly names: readonly string[];
    readonly behind_proxy: boolean;
    readonly tls?: { readonly port: number } | undefined;
  };
  readonly stationName: string;
  readonly store: AccessStore;
  /** The owner's certificate; null without one. */
  readonly tls: TlsFiles | null;
  readonly pages: string;
  readonly services: Omit<Services, "access">;
  readonly live: Pick<LiveParts, "snapshot" | "alarmMessage" | "acknowledge">;
  readonly clock: Clock;
  readonly log: Log;
  readonly tell: TellDeed;
  readonly deeds: Services["access"]["deeds"];
}

export interface Site {
  readonly live: Live;
  readonly access: Access;
  /** Listens from now on. @throws AppError `cannot-listen` */
  open(): Promise<AddressInfo>;
  close(): Promise<void>;
}

/** Everything that people look at, and the door in front of it. */
export function createSite(parts: SiteParts): Site {
  const { web, store, clock, log, tell, stationName } = parts;
  const mono = () => clock.now().mono;
  const names = createOwnNames([...web.names, web.host], mono);
  const originOf = createOriginOf(web.behind_proxy);
  const tls = parts.tls === null || web.tls === undefined ? null : { ...parts.tls, port: web.tls.port };
  const soon = tls === null ? null : expiryWords(tls, clock.now().wall);
  if (soon !== null) log("warn", soon);

  const network = () => networkView(doors, names, web.host, access.state());
  const access = createAccess({
    ...{ store, clock, log, stationName, tell, network },
    ended: () => live.lookAgain(),
    locked: () => doors.openToNetwork(),
  });
  const gate: Gate = {
    ...{ access, names, originOf, tell, mono },
    rates: createRates(QUESTIONS_AT_ONCE, QUESTIONS_PER_SECOND),
  };
  const live = createLive({
    ...parts.live,
    ...{ access, names, originOf, mono, log },
    acknowledged: (caller, alarm, outcome) => tell(deedOf(caller, "acknowledge", alarm, outcome)),
  });
  const shown = (...[token, role, endsInMs, at]: Parameters<Services["access"]["shown"]>) => {
    const pairing = shownPairing(network(), token, role, endsInMs, at);
    if (pairing !== null) return pairing;
    throw new AppError("not-on-network", `No phone can reach the station. ${network().text}`);
  };
  const app = createApp(
    { ...parts.services, access: { access, shown, deeds: parts.deeds } },
    gate,
    parts.pages,
    log,
  );
  const doors = createDoors({
    request: (request, response) => {
      if (live.takes(request)) live.request(request, response);
      else app(request, response);
    },
    upgrade: live.upgrade,
    ...{ host: web.host, port: web.port, tls, log },
  });

  /** The disk has told late who may sign in. */
  const whenRead = async () => {
    if (closed || access.refusal() !== null) return;
    log("info", "the disk has told who may sign in");
    if (access.state() === "locked") await doors.openToNetwork();
    sayOwn();
    live.lookAgain();
  };
  const sayOwn = () => {
    if (doors.own || access.state() !== "open") return;
    log(
      "warn",
      "no passphrase is set: the pages are open on this machine only. Set one on the page Access of its own screen, or with npm run station -- passphrase",
      { host: web.host },
    );
  };
  let closed = false;

  return {
    live,
    access,
    async open() {
      await doors.open(access.state() === "locked");
      if (access.state() === "unread") void store.read.then(whenRead);
      sayOwn();
      return doors.address();
    },
    async close() {
      closed = true;
      await live.close();
      await doors.close();
      await access.close();
    },
  };
}
