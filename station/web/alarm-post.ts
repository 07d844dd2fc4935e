import type { Server, Socket } from "socket.io";
import type { AlarmMessage } from "../model/now.js";

/** A page that has not said within this that it has the alarms is sent them again. */
const ANSWER_MS = 3_000;
/** What a page says with the id of the message, once it has it. */
const RECEIVED = "alarms-received";

export interface AlarmPost {
  /** A page has come, and has had a snapshot with the alarms in it. */
  came(socket: Socket): void;
  /** Whether what a page sends is its first word that it has the newest message: as many of these are due as were sent. */
  isDue(socket: Socket, event: readonly unknown[]): boolean;
  /** The alarms have changed: sent to all at once, and again to whoever does not say that it has them. */
  send(): void;
  close(): void;
}

/**
 * Brings the alarms to every page, for certain. A message is written out once for all of them: two hundred pages would
 * otherwise have the main thread write the same text two hundred times, while the last of them waits. Each message says
 * everything, so only the newest is repeated.
 */
export function createAlarmPost(io: Server, message: (id: string) => AlarmMessage): AlarmPost {
  let count = 0;
  let timer: NodeJS.Timeout | null = null;
  const has = (socket: { readonly data: { received?: unknown } }) => socket.data.received === `${count}`;

  const lookLater = () => {
    if (timer !== null) clearTimeout(timer);
    timer = setTimeout(look, ANSWER_MS);
  };
  const look = () => {
    timer = null;
    const without = [...io.of("/").sockets.values()].filter((socket) => !has(socket));
    if (without.length === 0) return;
    io.to(without.map(({ id }) => id)).emit("alarms", message(`${count}`));
    lookLater();
  };

  return {
    came(socket) {
      socket.data.received = `${count}`;
      socket.on(RECEIVED, (id: unknown) => {
        // A page that says something else than the newest has an older one, and will say so of the newest too.
        if (id === `${count}`) socket.data.received = id;
      });
    },
    isDue: (socket, [name, id]) => name === RECEIVED && id === `${count}` && !has(socket),
    send() {
      count += 1;
      io.emit("alarms", message(`${count}`));
      lookLater();
    },
    close() {
      if (timer !== null) clearTimeout(timer);
    },
  };
}
