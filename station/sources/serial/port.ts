import { createRequire } from "node:module";
import { noticeHangUp } from "./hang-up.js";

const require = createRequire(import.meta.url);

/** What a port tells its owner. Nothing comes after `closed`. */
export interface PortListener {
  data(bytes: Uint8Array): void;
  /** The port closed without being asked to; the error says why, where it is known. */
  closed(error: Error | null): void;
}

/** A port object, used once: opened once, closed once. */
export interface Port {
  /** Rejects with the system's words. */
  open(): Promise<void>;
  /** Resolves once the handle is given back; also where it was never opened. */
  close(): Promise<void>;
}

export type PortFactory = (listener: PortListener) => Port;

/**
 * Ports of the library `serialport`. The data handler is there from the beginning: a port that nobody reads never
 * notices that it was unplugged. The library is loaded with the first port, because its compiled part takes memory that a station
 * without one can do without.
 */
export function serialPorts(path: string, baudRate: number): PortFactory {
  const { SerialPort } = require("serialport") as typeof import("serialport");
  return (listener) => {
    const port = new SerialPort({ path, baudRate, autoOpen: false, lock: true });
    let over = false;
    const finish = (error: Error | null) => {
      if (over) return;
      over = true;
      listener.closed(error);
    };
    // Before the first read, which the data handler asks for and which waits for this event.
    port.on("open", () => {
      if (port.port !== undefined && "poller" in port.port) noticeHangUp(port.port);
    });
    port.on("data", (bytes: Buffer) => {
      if (!over) listener.data(bytes);
    });
    port.on("close", finish);
    port.on("error", finish);
    return {
      open: () =>
        new Promise((resolve, reject) => {
          port.open((error) => (error === null ? resolve() : reject(error)));
        }),
      close: () =>
        new Promise((resolve) => {
          over = true;
          if (!port.isOpen && !port.closing) return resolve();
          if (port.closing) {
            port.once("close", () => resolve());
            return;
          }
          // A close that fails leaves a handle that nobody can use: there is nothing more to wait for.
          port.close(() => resolve());
        }),
    };
  };
}
