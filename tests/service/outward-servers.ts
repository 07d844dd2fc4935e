import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync, writeFileSync } from "node:fs";
import { createServer as createHttpServer, type IncomingHttpHeaders, type Server } from "node:http";
import { type AddressInfo, createConnection, createServer, type Socket } from "node:net";
import { join } from "node:path";
import { SMTPServer } from "smtp-server";
import { eventually } from "./station-process.js";

/** A port that nothing listens on now. */
export async function freePort(): Promise<number> {
  const server = createServer().listen(0, "127.0.0.1");
  await once(server, "listening");
  const { port } = server.address() as AddressInfo;
  server.close();
  await once(server, "close");
  return port;
}

/** A certificate of its own for localhost, as somebody with a server at home makes one. */
export function selfSigned(folder: string): { readonly key: string; readonly cert: string } {
  const [key, cert] = [join(folder, "key.pem"), join(folder, "cert.pem")];
  const subject = ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1"];
  const made = ["req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-keyout", key, "-out", cert];
  execFileSync("openssl", [...made, ...subject], { stdio: "ignore" });
  return { key, cert };
}

export interface Received {
  readonly messageId: string;
  readonly text: string;
  readonly to: readonly string[];
  readonly encrypted: boolean;
}

export interface MailServerOptions {
  readonly port?: number;
  readonly user?: string;
  readonly password?: string;
  readonly tls?: { readonly key: string; readonly cert: string };
  /** The status that an address is refused with (RFC 5321, section 4.2.1); null: it is taken. */
  readonly onAddress?: (address: string) => number | null;
  /** What becomes of a mail once the server has all of it: it is answered for, or the connection is broken off. */
  readonly onMail?: (received: Received) => "take" | "break-off" | Promise<"take" | "break-off">;
}

export interface MailServer {
  readonly port: number;
  /** Everything that arrived whole, answered for or not. */
  readonly received: Received[];
  stop(): Promise<void>;
}

export async function startMailServer(options: MailServerOptions = {}): Promise<MailServer> {
  const received: Received[] = [];
  const sockets = new Set<Socket>();
  const server = new SMTPServer({
    disabledCommands: options.tls === undefined ? ["STARTTLS"] : [],
    authOptional: options.user === undefined,
    allowInsecureAuth: true,
    disableReverseLookup: true,
    ...(options.tls === undefined
      ? {}
      : { key: readFileSync(options.tls.key), cert: readFileSync(options.tls.cert) }),
    onAuth({ username, password }, _session, answer) {
      if (username === options.user && password === options.password) answer(null, { user: username });
      // As some servers do: they say back what they were given.
      else answer(new Error(`no such user ${username} with ${password}`));
    },
    onRcptTo({ address }, _session, answer) {
      const responseCode = options.onAddress?.(address) ?? null;
      if (responseCode === null) answer();
      else answer(Object.assign(new Error("not this one"), { responseCode }));
    },
    async onData(stream, session, answer) {
      const chunks: Buffer[] = [];
      for await (const chunk of stream) chunks.push(chunk as Buffer);
      const text = Buffer.concat(chunks).toString();
      const messageId = /^Message-ID: (.*)$/im.exec(text)?.[1]?.trim() ?? "";
      const to = session.envelope.rcptTo.map(({ address }) => address);
      const mail = { messageId, text, to, encrypted: session.secure };
      received.push(mail);
      if ((await options.onMail?.(mail)) === "break-off") for (const socket of sockets) socket.destroy();
      else answer();
    },
  });
  server.on("error", () => {});
  server.server.on("connection", (socket: Socket) => {
    sockets.add(socket);
    socket.on("close", () => sockets.delete(socket));
  });
  server.listen(options.port ?? 0, "127.0.0.1");
  await once(server.server, "listening");
  return {
    port: (server.server.address() as AddressInfo).port,
    received,
    stop: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        for (const socket of sockets) socket.destroy();
      }),
  };
}

/** Takes every connection, and says nothing. */
export async function startSilentServer(): Promise<{ readonly port: number; stop(): Promise<void> }> {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on("error", () => {});
  }).listen(0, "127.0.0.1");
  await once(server, "listening");
  return {
    port: (server.address() as AddressInfo).port,
    async stop() {
      for (const socket of sockets) socket.destroy();
      server.close();
      await once(server, "close");
    },
  };
}

export interface Posted {
  readonly path: string;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

export interface Receiver {
  readonly port: number;
  readonly posted: Posted[];
  stop(): Promise<void>;
}

/** @param answer the status that a POST is answered with, or null: the connection is broken off; a text is where it sends to */
export async function startReceiver(
  answer: (posted: Posted) => number | string | null | Promise<number | string | null> = () => 204,
  port = 0,
): Promise<Receiver> {
  const posted: Posted[] = [];
  const server: Server = createHttpServer(async (request, response) => {
    const chunks: Buffer[] = [];
    for await (const chunk of request) chunks.push(chunk as Buffer);
    const one = {
      path: request.url ?? "",
      headers: request.headers,
      body: Buffer.concat(chunks).toString(),
    };
    posted.push(one);
    const status = await answer(one);
    if (status === null) request.socket.destroy();
    else if (typeof status === "string") response.writeHead(307, { location: status }).end();
    else response.writeHead(status).end();
  });
  server.listen(port, "127.0.0.1");
  await once(server, "listening");
  return {
    port: (server.address() as AddressInfo).port,
    posted,
    async stop() {
      server.close();
      server.closeAllConnections();
      await once(server, "close");
    },
  };
}

export interface Broker {
  readonly port: number;
  stop(): Promise<void>;
}

/** Mosquitto, with a user where one is given. It keeps nothing of what was before. */
export async function startBroker(
  folder: string,
  { user, password, port }: { user?: string; password?: string; port?: number } = {},
): Promise<Broker> {
  const at = port ?? (await freePort());
  const passwords = join(folder, "broker-passwords");
  const lines = [`listener ${at} 127.0.0.1`, "persistence false", "log_dest none"];
  if (user === undefined || password === undefined) lines.push("allow_anonymous true");
  else {
    writeFileSync(passwords, "");
    execFileSync("mosquitto_passwd", ["-b", passwords, user, password], { stdio: "ignore" });
    lines.push("allow_anonymous false", `password_file ${passwords}`);
  }
  // As root the broker becomes another user, who may not read the folder of a test.
  if (process.getuid?.() === 0) lines.push("user root");
  const file = join(folder, "broker.conf");
  writeFileSync(file, `${lines.join("\n")}\n`);
  const child: ChildProcess = spawn("mosquitto", ["-c", file], { stdio: "ignore" });
  const ended = once(child, "exit");
  await eventually(() => answers(at), "the broker");
  return {
    port: at,
    async stop() {
      child.kill("SIGTERM");
      await ended;
    },
  };
}

function answers(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = createConnection(port, "127.0.0.1", () => {
      socket.destroy();
      resolve(true);
    });
    socket.on("error", () => resolve(false));
  });
}
