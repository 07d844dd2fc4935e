import type { Server as HttpServer } from "node:http";
import { Server } from "socket.io";
import { z } from "zod";
import type { Log } from "../log.js";
import type { AlarmMessage, NowSnapshot } from "../model/now.js";
import { problemOf } from "./problem.js";
import { acknowledgeSchema } from "./routes/alarms.js";
import { isOwnPage } from "./same-site.js";
import { valid } from "./validate.js";

export interface LiveParts {
  /** `whole`: with all of the coolant line, for a page that has just come. */
  readonly snapshot: (whole: boolean) => NowSnapshot;
  readonly alarmMessage: (id: string) => AlarmMessage;
  readonly acknowledge: (alarm: string, by: string) => Promise<unknown>;
  readonly log: Log;
}

export interface Live {
  /** Something shown has changed: sent with the next live message, at most one a second. */
  changed(): void;
  /** Times on every page have changed: each is sent everything once more. */
  renewed(): void;
  /** The alarms have changed: sent at once, and again until each page says that it has them. */
  alarmsChanged(): void;
  close(): Promise<void>;
}

const LIVE_EVERY_MS = 1_000;
/** A page that has not said within this that it has the alarms is sent them again. */
const ALARM_ANSWER_MS = 3_000;

const acknowledgeMessageSchema = acknowledgeSchema.extend({ alarm: z.string().min(1).max(100) });

/** The live side of the pages. Live values may be dropped for a slow page; alarms are repeated until they have arrived. */
export function createLive(server: HttpServer, parts: LiveParts): Live {
  const io = new Server(server, {
    serveClient: false,
    maxHttpBufferSize: 16 * 1024,
    allowRequest: (request, done) => done(null, isOwnPage(request.headers.origin, request.headers.host)),
  });
  let alarmCount = 0;
  let due = false;

  io.on("connection", (socket) => {
    socket.emit("snapshot", parts.snapshot(true));
    socket.on("acknowledge", (message: unknown, answer: unknown) => {
      const reply = typeof answer === "function" ? (value: object) => answer(value) : () => undefined;
      const run = async () => {
        const { alarm, by } = valid(acknowledgeMessageSchema, message, "message");
        await parts.acknowledge(alarm, by);
      };
      run().then(
        () => reply({ ok: true }),
        (error: unknown) => reply({ ok: false, problem: problemOf(error) }),
      );
    });
    // A client may send an event of this name with anything in it.
    socket.on("error", (error: unknown) =>
      parts.log("warn", "a page's connection failed", { error: String(error) }),
    );
  });

  const timer = setInterval(() => {
    if (!due || io.engine.clientsCount === 0) return;
    due = false;
    io.volatile.emit("live", parts.snapshot(false));
  }, LIVE_EVERY_MS);

  const sendAlarms = (id: string, to: ReturnType<Server["of"]>["sockets"]) => {
    const message = parts.alarmMessage(id);
    for (const socket of to.values()) {
      socket.timeout(ALARM_ANSWER_MS).emit("alarms", message, (error: Error | null) => {
        // A newer message says all that this one did; a page that has gone gets a snapshot when it is back.
        if (error === null || !socket.connected || id !== `${alarmCount}`) return;
        sendAlarms(id, new Map([[socket.id, socket]]));
      });
    }
  };

  return {
    changed() {
      due = true;
    },
    renewed() {
      due = false;
      io.emit("snapshot", parts.snapshot(true));
    },
    alarmsChanged() {
      alarmCount += 1;
      sendAlarms(`${alarmCount}`, io.of("/").sockets);
    },
    async close() {
      clearInterval(timer);
      const closed = io.close();
      // A browser keeps connections open that it has not used yet, and the server would wait for them.
      server.closeAllConnections();
      await closed;
    },
  };
}
