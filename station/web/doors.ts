import { createServer, type IncomingMessage, type RequestListener, type Server } from "node:http";
import { createServer as createTlsServer } from "node:https";
import type { AddressInfo, Socket } from "node:net";
import type { Duplex } from "node:stream";
import { placeOf } from "../access/place.js";
import { AppError } from "../errors.js";
import type { Log } from "../log.js";
import { listen } from "./listen.js";
import { isLoop } from "./origin-of.js";
import type { TlsFiles } from "./tls.js";

export interface DoorParts {
  readonly request: RequestListener;
  readonly upgrade: (request: IncomingMessage, socket: Duplex, head: Buffer) => void;
  readonly host: string;
  readonly port: number;
  /** Null: plain HTTP. */
  readonly tls: (TlsFiles & { readonly port: number }) | null;
  readonly log: Log;
}

export interface Doors {
  /** Listens on this machine, and where `network` on the configured host too. @throws AppError `cannot-listen` */
  open(network: boolean): Promise<void>;
  /** Listens on the configured host from now on, without a restart. What stands in the way is told in the log. */
  openToNetwork(): Promise<void>;
  /** Of the door on this machine, or of the only one there is. */
  address(): AddressInfo;
  /** As it stands, for people. */
  network(): {
    readonly open: boolean;
    readonly tls: boolean;
    readonly port: number;
    readonly trouble: string | null;
  };
  /** Whether the configured host is this machine alone. */
  readonly own: boolean;
  close(): Promise<void>;
}

const OWN_HOSTS: ReadonlySet<string> = new Set(["localhost", "127.0.0.1", "::1"]);
const EVERY_ADDRESS: ReadonlySet<string> = new Set(["0.0.0.0", "::"]);
const OWN_HOST = "127.0.0.1";

/** The head of a request has to be there by then, and all of it by then: a photo over a slow network takes its time. */
const HEAD_MS = 10_000;
const REQUEST_MS = 150_000;
const LOOK_EVERY_MS = 2_000;
const HEAD_BYTES = 8 * 1024;
const MOST_HEADERS = 60;
/** From the network at once: of one machine, and of all. The station's own screen is not counted. */
const MOST_OF_ONE = 48;
const MOST_OF_ALL = 400;

const LIMITS = {
  headersTimeout: HEAD_MS,
  requestTimeout: REQUEST_MS,
  connectionsCheckingInterval: LOOK_EVERY_MS,
  maxHeaderSize: HEAD_BYTES,
} as const;

/**
 * Where the station listens. Until a passphrase is set that is this machine alone, whatever is configured; then the configured
 * host. With a certificate the network is spoken to over TLS, on a port of its own, and this machine as before.
 */
export function createDoors({ request, upgrade, host, port, tls, log }: DoorParts): Doors {
  const own = OWN_HOSTS.has(host);
  const servers = new Set<Server>();
  const crowd = new Map<string, number>();
  /** On this machine, or on every address. */
  let first: Server | null = null;
  /** Beside it, for the network alone. */
  let outer: Server | null = null;
  let networked = false;
  let trouble: string | null = null;

  const openAt = async (where: string, at: number, secure: boolean): Promise<Server> => {
    const server =
      secure && tls !== null
        ? createTlsServer({ ...LIMITS, cert: tls.cert, key: tls.key, minVersion: "TLSv1.2" }, request)
        : createServer(LIMITS, request);
    server.maxHeadersCount = MOST_HEADERS;
    server.on("upgrade", upgrade);
    server.on("connection", (socket: Socket) => admit(socket, crowd));
    await listen(server, where, at);
    servers.add(server);
    return server;
  };
  const portOf = (server: Server | null) => (server?.address() as AddressInfo | null)?.port ?? port;

  /** A port that is listened to on every address cannot be listened to on one beside it. */
  const openNetwork = async () => {
    if (own || networked) return;
    if (tls !== null) outer = await openAt(host, tls.port, true);
    else if (!EVERY_ADDRESS.has(host)) outer = await openAt(host, portOf(first), false);
    else {
      const before = first;
      const at = portOf(before);
      if (before !== null) {
        // What is connected stays so; only nobody new comes in here.
        before.close();
      }
      try {
        first = await openAt(host, at, false);
      } catch (error) {
        if (before !== null) first = await openAt(OWN_HOST, at, false);
        throw error;
      }
    }
    networked = true;
  };

  return {
    own,
    async open(network) {
      if (own) first = await openAt(host, port, false);
      else if (network && tls === null && EVERY_ADDRESS.has(host)) {
        first = await openAt(host, port, false);
        networked = true;
      } else {
        first = await openAt(OWN_HOST, port, false);
        if (network) await openNetwork();
      }
    },
    async openToNetwork() {
      try {
        await openNetwork();
        if (networked) log("info", "the pages are open to the network, and everybody signs in", { host });
        trouble = null;
      } catch (error) {
        trouble = error instanceof AppError ? error.message : String(error);
        log("error", "the pages could not be opened to the network", { error: trouble });
      }
    },
    address: () => first?.address() as AddressInfo,
    network: () => ({
      open: networked,
      tls: tls !== null,
      port: portOf(outer ?? first),
      trouble,
    }),
    async close() {
      await Promise.all(
        [...servers].map(
          (server) =>
            new Promise<void>((closed) => {
              server.close(() => closed());
              // A browser keeps connections open that it has not used yet, and the server would wait for them.
              server.closeAllConnections();
            }),
        ),
      );
    },
  };
}

/** No machine of the network takes all the room there is. */
function admit(socket: Socket, crowd: Map<string, number>): void {
  const { remoteAddress } = socket;
  if (isLoop(remoteAddress) && isLoop(socket.localAddress)) return;
  const place = placeOf(remoteAddress ?? "");
  const here = crowd.get(place) ?? 0;
  const all = [...crowd.values()].reduce((sum, count) => sum + count, 0);
  if (here >= MOST_OF_ONE || all >= MOST_OF_ALL) {
    socket.destroy();
    return;
  }
  crowd.set(place, here + 1);
  socket.once("close", () => {
    const left = (crowd.get(place) ?? 1) - 1;
    if (left > 0) crowd.set(place, left);
    else crowd.delete(place);
  });
}
