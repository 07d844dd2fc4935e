import type { IncomingMessage } from "node:http";
import type { Origin } from "../access/caller.js";

const LOOP: ReadonlySet<string> = new Set(["127.0.0.1", "::1"]);
/** Whatever hands requests on from elsewhere says so in one of these, and then the other end is not where they come from. */
const HANDED_ON = ["forwarded", "x-forwarded-for", "x-real-ip", "via"] as const;

/** Where a request comes from. */
export type OriginOf = (request: IncomingMessage) => Origin;

/**
 * Tells the station itself, where both ends of a connection are the machine's own, from the network.
 * @param behindProxy a proxy on this machine need not say that it hands on, so that no request is held to be the station's own
 */
export function createOriginOf(behindProxy: boolean): OriginOf {
  return (request) => {
    const { remoteAddress, localAddress } = request.socket;
    const handedOn = behindProxy || HANDED_ON.some((name) => request.headers[name] !== undefined);
    return {
      address: plain(remoteAddress),
      here: !handedOn && isLoop(remoteAddress) && isLoop(localAddress),
    };
  };
}

export function isLoop(address: string | undefined): boolean {
  return LOOP.has(plain(address));
}

/** An IPv4 address that an IPv6 socket shows as one of its own (RFC 4291 section 2.5.5.2). */
function plain(address: string | undefined): string {
  return (address ?? "").replace(/^::ffff:(?=\d+\.)/i, "");
}
