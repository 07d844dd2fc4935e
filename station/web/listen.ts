import { once } from "node:events";
import type { Server } from "node:http";
import { AppError } from "../errors.js";

/** @throws AppError `cannot-listen`, in words, where the address is taken, not this machine's, or not permitted */
export async function listen(server: Server, host: string, port: number): Promise<void> {
  server.listen(port, host);
  try {
    await once(server, "listening");
  } catch (error) {
    throw new AppError("cannot-listen", `${host}:${port}: ${wordsOf(error)}`);
  }
}

function wordsOf(error: unknown): string {
  const code = error instanceof Error && "code" in error ? error.code : null;
  if (code === "EADDRINUSE")
    return "another program listens there, perhaps a station that is still running. Stop it, or give another --port.";
  if (code === "EADDRNOTAVAIL" || code === "ENOTFOUND")
    return "this machine has no such address. Give 127.0.0.1 or 0.0.0.0 as --host.";
  if (code === "EACCES") return "ports below 1024 are not open to everybody. Give a --port of 1024 or above.";
  return String(error);
}
