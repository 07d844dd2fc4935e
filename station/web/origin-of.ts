import type { IncomingMessage } from "node:http";
import type { Origin } from "../access/caller.js";

const LOOP: ReadonlySet<string> = new Set(["127.0.0.1", "::1"]);
/** Whatever hands requests on from elsewhere says so in one of these, and then the other end is not where they come from. */
const HANDED_ON = ["forwarded", "x-forwarded-for", "x-real-ip", "via"] as const;

/** Where a request comes from: the station itself, where both ends of its connection are the machine's own. */
export function originOf(request: IncomingMessage): Origin {
  const { remoteAddress, localAddress } = request.socket;
  const address = plain(remoteAddress);
  const handedOn = HANDED_ON.some((name) => request.headers[name] !== undefined);
  return { address, here: !handedOn && isLoop(remoteAddress) && isLoop(localAddress) };
}

export function isLoop(address: string | undefined): boolean {
  return LOOP.has(plain(address));
}

/** An IPv4 address that an IPv6 socket shows as one of its own (RFC 4291 section 2.5.5.2). */
function plain(address: string | undefined): string {
  return (address ?? "").replace(/^::ffff:(?=\d+\.)/i, "");
}
