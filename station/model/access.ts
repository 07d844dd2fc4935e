/** What somebody may do here, from the least to the most. Each may all that those before it may. */
export const ROLES = ["viewer", "operator", "owner"] as const;
export type Role = (typeof ROLES)[number];

export const ROLE_WORDS: Readonly<Record<Role, string>> = {
  viewer: "looks: sees every page, changes nothing",
  operator: "operates: begins runs, grades, acknowledges alarms",
  owner: "owns: also settings, people, imports, exports and backups",
};

export function rankOf(role: Role | null): number {
  return role === null ? -1 : ROLES.indexOf(role);
}

export function mayAs(role: Role | null, least: Role): boolean {
  return rankOf(role) >= rankOf(least);
}

/** The lesser of two roles. */
export function lesserRole(a: Role, b: Role): Role {
  return rankOf(a) <= rankOf(b) ? a : b;
}

/** NIST SP 800-63B-4 section 3.1.1.2 (from memory): a password that stands alone has 15 characters at least. */
export const SHORTEST_PASSPHRASE = 15;
export const LONGEST_PASSPHRASE = 128;
export const SHORTEST_PIN = 4;
export const LONGEST_PIN = 8;
/** As `by` of everything that is entered. */
export const LONGEST_PERSON = 40;

/**
 * Whether anybody has to sign in. "open": no passphrase yet, the station listens on itself only, and whoever sits at it is its
 * owner. "locked": everybody signs in. "unread": the disk has not told yet which of the two it is, and nobody signs in
 * before it does. "unreadable": the file with the passphrases cannot be read, so nobody can.
 */
export type AccessState = "open" | "locked" | "unread" | "unreadable";

/** How one who asks stands to the station. */
export interface Me {
  readonly state: AccessState;
  readonly stationName: string;
  /** Asks from the station's own screen. */
  readonly here: boolean;
  readonly role: Role | null;
  /** Null for nobody, and for the screen of the station that nobody has signed in at. */
  readonly who: string | null;
  /** Has a passphrase of its own, and can change it. */
  readonly ownPassphrase: boolean;
  readonly pinSet: boolean;
  /** A PIN has made it operator, until nothing was done for so long; null where no PIN has. */
  readonly raisedLeftMs: number | null;
}

export interface PersonView {
  readonly id: string;
  readonly name: string;
  readonly role: Role;
  readonly sinceWall: number;
}

export interface SessionView {
  readonly id: string;
  readonly name: string;
  readonly role: Role;
  readonly kind: "signed in" | "paired" | "wall";
  /** Whose it is; null for the screen on the wall. */
  readonly person: string | null;
  readonly sinceWall: number;
  readonly idleMs: number;
  readonly address: string;
  /** The session that asks. */
  readonly this: boolean;
}

export interface NetworkView {
  /** Where the station can be reached from the workshop's network, best first; empty where it listens on itself only. */
  readonly addresses: readonly string[];
  /** What stands in the way of the network, or how the way there is protected, in words. */
  readonly text: string;
}

export interface AccessView {
  readonly state: AccessState;
  readonly people: readonly PersonView[];
  readonly sessions: readonly SessionView[];
  readonly pin: { readonly set: boolean; readonly idleMinutes: number };
  readonly scraperTokenSet: boolean;
  readonly network: NetworkView;
}

export interface PairingView {
  /** With the one-time token behind the #, where no server and no log sees it. */
  readonly address: string;
  readonly role: Role;
  readonly endsInMs: number;
  readonly qr: { readonly modules: number; readonly path: string };
}
