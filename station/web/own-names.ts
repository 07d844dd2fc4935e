import type { IncomingMessage } from "node:http";
import { hostname, networkInterfaces } from "node:os";
import { AppError } from "../errors.js";

const ADDRESSES_FOR_MS = 10_000;

export interface OwnNames {
  /** Whether the `Host` of a request is a name or address of this station, whatever the port. */
  has(host: string | undefined): boolean;
  /** Under what the station is found from the network: its names first, then its addresses; without a port. */
  list(): readonly string[];
}

/**
 * By what names the station is known. Another name that leads here is a page's that has had its own name point to this address (DNS
 * rebinding), to ask in the browser of somebody who is let in. @param more further names, of station.yaml
 */
export function createOwnNames(
  more: readonly string[],
  mono: () => number,
  interfaces: typeof networkInterfaces = networkInterfaces,
  machine: () => string = hostname,
): OwnNames {
  const given = more.map((name) => name.toLowerCase());
  let addresses: readonly string[] = [];
  let readAt = Number.NEGATIVE_INFINITY;

  const current = () => {
    if (mono() - readAt > ADDRESSES_FOR_MS) {
      readAt = mono();
      addresses = Object.values(interfaces())
        .flatMap((each) => each ?? [])
        .map(({ address }) => address.toLowerCase().replace(/%.*$/, ""));
    }
    return addresses;
  };
  const own = () => {
    const name = machine().toLowerCase();
    return name === "" ? [] : [name, name.endsWith(".local") ? name : `${name}.local`];
  };

  return {
    has(host) {
      const name = nameIn(host);
      if (name === null) return false;
      // The whole of 127.0.0.0/8 is this machine (RFC 1122 section 3.2.1.3).
      if (name === "localhost" || name === "::1" || /^127(\.\d{1,3}){3}$/.test(name)) return true;
      return given.includes(name) || own().includes(name) || current().includes(name);
    },
    list: () => [
      ...given,
      ...own().filter((name) => name.endsWith(".local")),
      ...current().filter(reachable),
    ],
  };
}

/** The one `Host` of a request: with none or several it is none (RFC 9112 section 3.2). */
export function hostOf({ headersDistinct }: IncomingMessage): string | undefined {
  const { host } = headersDistinct;
  return host?.length === 1 ? host[0] : undefined;
}

/** Without its port and brackets; null where it is none. */
function nameIn(host: string | undefined): string | null {
  const found = /^(?:\[([0-9a-f:.]+)\]|([a-z0-9._-]+?)\.?)(?::\d{1,5})?$/i.exec(host ?? "");
  return (found?.[1] ?? found?.[2])?.toLowerCase() ?? null;
}

/** Neither the machine's own loop nor an address that wants its interface named. */
function reachable(address: string): boolean {
  return !address.startsWith("127.") && address !== "::1" && !address.startsWith("fe80:");
}

export function foreignName(host: string | undefined): AppError {
  const name = (host ?? "").replace(/[^\w.:[\]-]/g, "?").slice(0, 80);
  return new AppError(
    "wrong-host",
    `This station does not go by the name "${name}". Open it by its address, or have its owner add the name to web.names in station.yaml.`,
  );
}
