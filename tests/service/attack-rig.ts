import { once } from "node:events";
import { type IncomingHttpHeaders, request } from "node:http";
import { connect, type Socket } from "node:net";
import { type StationProcess, startStation, temporaryFolder } from "./station-process.js";

export const PASSPHRASES = {
  owner: "correct horse battery staple",
  operator: "seven boats under a bridge",
  viewer: "a window above the garden",
} as const;
export const PIN = "2580";
type Person = keyof typeof PASSPHRASES;

export interface Asked {
  /** `wall`: from the station itself; `network`: as from another machine, though it never leaves this one. */
  readonly from?: "wall" | "network";
  readonly cookie?: string | undefined;
  readonly headers?: Readonly<Record<string, string>>;
  /** An object goes as JSON; a buffer or text as it is. */
  readonly body?: object | string | Buffer;
  /** Without what only the station's own pages send. */
  readonly bare?: boolean;
}

export interface Answered {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly text: string;
  readonly code: string | null;
  /** The value of the session's cookie, where one was set. */
  readonly cookie: string | null;
}

/** A built station with three people, that only this machine can reach: what is the network here is 127.0.0.2. */
export class AttackRig {
  readonly #temporary = temporaryFolder();
  station!: StationProcess;
  port = 0;

  get folder(): string {
    return this.#temporary.folder;
  }

  async begin(config: object | null = null): Promise<void> {
    this.station = await startStation(this.folder, config, { more: ["--host", "127.0.0.2"] });
    this.port = Number(new URL(this.station.url).port);
    const owner = await this.ask("POST", "/api/access/passphrase", {
      body: { name: "owner", passphrase: PASSPHRASES.owner },
    });
    const cookie = owner.cookie ?? undefined;
    for (const role of ["operator", "viewer"] as const) {
      const body = { name: role, role, passphrase: PASSPHRASES[role] };
      await this.ask("POST", "/api/access/people", { cookie, body });
    }
    await this.ask("PUT", "/api/access/pin", { cookie, body: { pin: PIN, idleMinutes: 10 } });
  }

  async end(): Promise<void> {
    await this.station?.stop();
    this.#temporary.remove();
  }

  hostOf(from: Asked["from"]): string {
    return from === "network" ? "127.0.0.2" : "127.0.0.1";
  }

  /** One question over a connection of its own, with any header there may be. */
  ask(method: string, path: string, asked: Asked = {}): Promise<Answered> {
    const { from = "wall", cookie, headers = {}, body, bare = false } = asked;
    const json = typeof body === "object" && !Buffer.isBuffer(body);
    return new Promise((resolve, reject) => {
      const sent = request({
        ...{ host: this.hostOf(from), port: this.port, method, path, agent: false },
        headers: {
          ...(json ? { "content-type": "application/json" } : {}),
          ...(bare ? {} : { "station-page": "1" }),
          ...(cookie === undefined ? {} : { cookie: `station-session=${cookie}` }),
          ...headers,
        },
      });
      sent.on("error", reject);
      sent.on("response", (response) => {
        const pieces: Buffer[] = [];
        response.on("data", (piece: Buffer) => pieces.push(piece));
        response.on("error", reject);
        response.on("end", () => {
          const text = Buffer.concat(pieces).toString();
          const set = response.headers["set-cookie"]?.[0] ?? "";
          resolve({
            status: response.statusCode ?? 0,
            headers: response.headers,
            text,
            code: codeIn(text),
            cookie: /^station-session=([\w-]+);/.exec(set)?.[1] ?? null,
          });
        });
      });
      sent.end(json ? JSON.stringify(body) : body);
    });
  }

  signIn(person: Person, asked: Asked = { from: "network" }, passphrase: string = PASSPHRASES[person]) {
    return this.ask("POST", "/api/access/sign-in", { ...asked, body: { name: person, passphrase } });
  }

  async cookieOf(person: Person): Promise<string> {
    const { cookie, text } = await this.signIn(person);
    if (cookie === null) throw new Error(`nobody was signed in: ${text}`);
    return cookie;
  }

  /** A connection that speaks for itself. */
  async raw(from: Asked["from"]): Promise<Socket> {
    const socket = connect(this.port, this.hostOf(from));
    socket.on("error", () => undefined);
    await once(socket, "connect");
    return socket;
  }

  /** How many passphrases and PINs the station has reckoned with. */
  async hashes(): Promise<number> {
    const { text } = await this.ask("GET", "/metrics");
    return Number(/^station_secrets_hashed_total (\d+)$/m.exec(text)?.[1]);
  }
}

function codeIn(text: string): string | null {
  try {
    const { code } = JSON.parse(text) as { code?: unknown };
    return typeof code === "string" ? code : null;
  } catch {
    return null;
  }
}

/** All that comes until the other side closes, or nothing more comes. One that is closed already has said nothing. */
export function heardOn(socket: Socket): Promise<string> {
  return new Promise((resolve) => {
    let heard = "";
    socket.on("data", (data: Buffer) => {
      heard += data.toString();
    });
    socket.on("close", () => resolve(heard));
    if (socket.closed) resolve(heard);
  });
}
