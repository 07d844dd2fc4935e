import type { AccessState, NetworkView, PairingView } from "../model/access.js";
import { qrCode } from "../trials/labels/qr.js";
import type { Doors } from "./doors.js";
import type { OwnNames } from "./own-names.js";

const EVERY_ADDRESS: ReadonlySet<string> = new Set(["0.0.0.0", "::"]);

/** Where the station is reached from the network, and in words how it stands with that. */
export function networkView(
  { own, network }: Pick<Doors, "own" | "network">,
  names: Pick<OwnNames, "list">,
  host: string,
  state: AccessState,
): NetworkView {
  const { open, tls, port, trouble } = network();
  if (own) {
    return {
      addresses: [],
      text: "The station listens on itself only. For phones put host: 0.0.0.0 under web in station.yaml and start it again.",
    };
  }
  if (trouble !== null) return { addresses: [], text: `The network could not be let in: ${trouble}` };
  if (state === "unreadable" || state === "unread")
    return { addresses: [], text: "Nobody can sign in, so the station listens on itself only." };
  if (!open) {
    return {
      addresses: [],
      text: "Until a passphrase is set the station listens on itself only. Once it is, the network is let in at once, and everybody signs in.",
    };
  }
  const scheme = tls ? "https" : "http";
  const found = EVERY_ADDRESS.has(host) ? names.list() : [host];
  return {
    addresses: found.map((name) => `${scheme}://${name.includes(":") ? `[${name}]` : name}:${port}`),
    text: tls
      ? "Open to the workshop's network, over TLS with your certificate."
      : "Open to the workshop's network over plain HTTP: who can listen in on that network can take a session over. Give the station a certificate (web.tls in station.yaml) where that is to be feared.",
  };
}

/**
 * The pairing as the signed-in screen shows it. The token stands behind the #: browsers send that to nobody, so that it is in no log
 * and no referrer. @param at one of the station's addresses; another counts as none
 */
export function shownPairing(
  { addresses }: NetworkView,
  token: string,
  role: PairingView["role"],
  endsInMs: number,
  at: string | undefined,
): PairingView | null {
  const base = addresses.find((each) => each === at) ?? addresses[0];
  if (base === undefined) return null;
  const address = `${base}/pair#${token}`;
  return { address, role, endsInMs, qr: qrCode(address) };
}
