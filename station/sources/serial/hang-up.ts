import { read } from "node:fs";
import { promisify } from "node:util";
import { errnoOf } from "../errno.js";

/** The part of the library's open port, on Linux, that reading needs. */
export interface OpenHandle {
  readonly isOpen: boolean;
  readonly fd: number | null;
  readonly poller: { once(event: "readable", callback: (error: Error | null) => void): unknown };
  read(buffer: Buffer, offset: number, length: number): Promise<{ buffer: Buffer; bytesRead: number }>;
}

const readBytes = promisify(read);
const NOTHING_YET = new Set(["EAGAIN", "EWOULDBLOCK", "EINTR"]);

/**
 * Makes an open port notice that it was hung up. A terminal whose other end has gone answers every read with 0 bytes, and
 * the library (bindings-cpp 13) then reads again at once, for ever: the unplugging is never reported and the main thread
 * is kept busy. Whether that happens depends on whether the cable was pulled during a read or during the wait for one.
 * Here 0 bytes end the reading with an error, upon which the library closes the port as disconnected.
 */
export function noticeHangUp(handle: OpenHandle): void {
  handle.read = async (buffer, offset, length) => {
    for (;;) {
      if (!handle.isOpen || handle.fd === null) throw cancelled();
      try {
        const { bytesRead } = await readBytes(handle.fd, buffer, offset, length, null);
        if (bytesRead > 0) return { buffer, bytesRead };
      } catch (error) {
        if (!NOTHING_YET.has(errnoOf(error))) throw error;
        if (!handle.isOpen) throw cancelled();
        await readable(handle);
        continue;
      }
      throw new Error("the other end has gone");
    }
  };
}

function readable(handle: OpenHandle): Promise<void> {
  return new Promise((resolve, reject) => {
    handle.poller.once("readable", (error) => (error === null ? resolve() : reject(error)));
  });
}

/** What the library takes for an orderly end of a read, and not for a loss of the port. */
function cancelled(): Error {
  return Object.assign(new Error("the port was closed"), { canceled: true });
}
