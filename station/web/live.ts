import type { IncomingMessage, ServerResponse } from "node:http";
import type { Duplex } from "node:stream";
import { Server as Engine, type Socket as EngineSocket } from "engine.io";
import { Server, type Socket } from "socket.io";
import { z } from "zod";
import type { Access } from "../access/access.js";
import type { Caller } from "../access/caller.js";
import type { Log } from "../log.js";
import { mayAs } from "../model/access.js";
import type { AlarmMessage, NowSnapshot } from "../model/now.js";
import { createAlarmPost } from "./alarm-post.js";
import { tokenIn } from "./cookie.js";
import { createCrowd } from "./crowd.js";
import { notAllowed, signInNeeded } from "./gate.js";
import type { OriginOf } from "./origin-of.js";
import { foreignName, hostOf, type OwnNames } from "./own-names.js";
import { problemOf } from "./problem.js";
import { createRates } from "./rates.js";
import { acknowledgeSchema } from "./routes/alarms.js";
import { isOwnRequest, otherSite } from "./same-site.js";
import { valid } from "./validate.js";

export interface LiveParts {
  /** `whole`: with all of the coolant line, for a page that has just come. */
  readonly snapshot: (whole: boolean) => NowSnapshot;
  readonly alarmMessage: (id: string) => AlarmMessage;
  readonly acknowledge: (alarm: string, by: string) => Promise<unknown>;
  readonly access: Pick<Access, "caller" | "again" | "acted" | "refusal">;
  readonly names: OwnNames;
  readonly originOf: OriginOf;
  /** For the log of who did what: somebody acknowledged an alarm. */
  readonly acknowledged: (caller: Caller, alarm: string, outcome: string) => void;
  readonly mono: () => number;
  readonly log: Log;
}

export interface Live {
  /** Whether a request is one of the socket's. */
  takes(request: IncomingMessage): boolean;
  request(request: IncomingMessage, response: ServerResponse): void;
  upgrade(request: IncomingMessage, socket: Duplex, head: Buffer): void;
  /** Somebody's session has ended, or nobody may look any longer without one: those who may not are cut off at once. */
  lookAgain(): void;
  /** Something shown has changed: sent with the next live message, at most one a second. */
  changed(): void;
  /** Times on every page have changed: each is sent everything once more. */
  renewed(): void;
  /** The alarms have changed: sent at once, and again until each page says that it has them. */
  alarmsChanged(): void;
  close(): Promise<void>;
}

const LIVE_EVERY_MS = 1_000;

const SOCKET_PATH = /^\/socket\.io\/?(?:\?|$)/;

const acknowledgeMessageSchema = acknowledgeSchema.extend({ alarm: z.string().min(1).max(100) });

/** How often those are looked for whose session has ended by itself. */
const LOOK_EVERY_MS = 5_000;
/** What a page may send, beside its one answer to each message about alarms: now and then it acknowledges one. */
const EVENTS_AT_ONCE = 60;
const EVENTS_PER_SECOND = 10;
/** Whoever has opened a socket says by then that it is a page. */
const CONNECT_MS = 10_000;

/** The live side of the pages. Live values may be dropped for a slow page; alarms are repeated until they have arrived. */
export function createLive(parts: LiveParts): Live {
  const { access, names, originOf, log } = parts;
  const crowd = createCrowd();
  const askers = new WeakMap<IncomingMessage, Caller>();
  const engine = new Engine({
    maxHttpBufferSize: 16 * 1024,
    // Asked once for each new socket, before it is one.
    allowRequest(request, answer) {
      const caller = askers.get(request);
      if (caller !== undefined && crowd.allows(caller, parts.mono())) answer(null, true);
      else answer("There are too many pages open already.", false);
    },
  });
  const io = new Server({ serveClient: false, connectTimeout: CONNECT_MS });
  io.bind(engine);
  engine.on("connection", (opened: EngineSocket) => {
    const caller = askers.get(opened.request);
    if (caller !== undefined) opened.once("close", crowd.came(caller));
  });
  const events = createRates(EVENTS_AT_ONCE, EVENTS_PER_SECOND);
  const alarmPost = createAlarmPost(io, parts.alarmMessage);
  let due = false;

  /** Who asks for a socket, at every request of it. @throws AppError */
  const admitted = (request: IncomingMessage): Caller => {
    const host = hostOf(request);
    if (!names.has(host)) throw foreignName(host);
    if (!isOwnRequest(request.headers, true)) throw otherSite();
    const caller = access.caller(tokenIn(request), originOf(request));
    if (caller.role === null) throw signInNeeded();
    askers.set(request, caller);
    return caller;
  };
  const callerOn = (socket: Socket): Caller => {
    const caller = access.again(socket.data.caller);
    if (caller.role === null) throw signInNeeded();
    return caller;
  };

  io.use((socket, next) => {
    try {
      socket.data.caller = admitted(socket.request);
      next();
    } catch (error) {
      next(error instanceof Error ? error : new Error(String(error)));
    }
  });
  io.on("connection", (socket) => {
    socket.use((event, next) => {
      if (alarmPost.isDue(socket, event) || events.allow(socket.id, parts.mono())) next();
      else socket.disconnect(true);
    });
    socket.emit("snapshot", parts.snapshot(true));
    alarmPost.came(socket);
    socket.on("acknowledge", (message: unknown, answer: unknown) => {
      const reply = typeof answer === "function" ? (value: object) => answer(value) : () => undefined;
      const run = async () => {
        const caller = callerOn(socket);
        if (!mayAs(caller.role, "operator")) throw notAllowed("operator", access);
        const { alarm, by } = valid(acknowledgeMessageSchema, message, "message");
        access.acted(caller);
        const signed = caller.session === null ? by : (caller.who ?? by);
        await parts.acknowledge(alarm, signed).then(
          () => parts.acknowledged(caller, alarm, "done"),
          (error: unknown) => {
            parts.acknowledged(caller, alarm, `refused: ${problemOf(error).code}`);
            throw error;
          },
        );
      };
      run().then(
        () => reply({ ok: true }),
        (error: unknown) => reply({ ok: false, problem: problemOf(error) }),
      );
    });
    // A client may send an event of this name with anything in it.
    socket.on("error", (error: unknown) =>
      log("warn", "a page's connection failed", { error: String(error) }),
    );
  });

  const lookAgain = () => {
    for (const socket of io.of("/").sockets.values()) {
      if (access.again(socket.data.caller).role === null) socket.disconnect(true);
    }
  };
  const timer = setInterval(() => {
    if (!due || io.engine.clientsCount === 0) return;
    due = false;
    io.volatile.emit("live", parts.snapshot(false));
  }, LIVE_EVERY_MS);
  const looking = setInterval(lookAgain, LOOK_EVERY_MS);

  return {
    takes: ({ url = "" }) => SOCKET_PATH.test(url),
    request(request, response) {
      try {
        admitted(request);
      } catch (error) {
        const problem = problemOf(error);
        response.writeHead(problem.status, { "Content-Type": "application/problem+json" });
        response.end(JSON.stringify(problem));
        return;
      }
      engine.handleRequest(request as Parameters<typeof engine.handleRequest>[0], response);
    },
    upgrade(request, socket, head) {
      try {
        if (!SOCKET_PATH.test(request.url ?? "")) throw signInNeeded();
        admitted(request);
      } catch (error) {
        const { status, title } = problemOf(error);
        socket.on("error", () => undefined);
        socket.end(`HTTP/1.1 ${status} ${title}\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`);
        return;
      }
      engine.handleUpgrade(request as Parameters<typeof engine.handleUpgrade>[0], socket, head);
    },
    lookAgain,
    changed() {
      due = true;
    },
    renewed() {
      due = false;
      io.emit("snapshot", parts.snapshot(true));
    },
    alarmsChanged: () => alarmPost.send(),
    async close() {
      alarmPost.close();
      clearInterval(timer);
      clearInterval(looking);
      await io.close();
    },
  };
}
