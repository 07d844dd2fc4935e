import { execFileSync } from "node:child_process";
import { rmSync, writeFileSync } from "node:fs";
import { request } from "node:https";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { AccessView } from "../../station/model/access.js";
import { DEMO_CONFIG } from "../../station/sources/bench-simulator/channels.js";
import { PASSPHRASES } from "./attack-rig.js";
import { station } from "./station-command.js";
import { type StationProcess, startStation, temporaryFolder } from "./station-process.js";

function makeCertificate(folder: string, name: string): { cert: string; key: string } {
  const [cert, key] = [join(folder, `${name}.crt`), join(folder, `${name}.key`)];
  const subject = ["-subj", "/CN=station.test", "-addext", "subjectAltName=IP:127.0.0.2"];
  const made = [
    "-newkey",
    "ec",
    "-pkeyopt",
    "ec_paramgen_curve:prime256v1",
    "-nodes",
    "-keyout",
    key,
    "-out",
    cert,
  ];
  execFileSync("openssl", ["req", "-x509", "-days", "2", ...made, ...subject], { stdio: "ignore" });
  return { cert, key };
}

describe("a station with a certificate", () => {
  const { folder, remove } = temporaryFolder();
  const tls = makeCertificate(folder, "good");
  const config = (entry: object) => ({
    ...DEMO_CONFIG,
    web: { host: "127.0.0.2", tls: { port: 0, ...entry } },
  });
  let running: StationProcess;
  let port: number;

  beforeAll(async () => {
    running = await startStation(folder, config(tls));
    const first = await fetch(`${running.url}/api/access/passphrase`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ name: "owner", passphrase: PASSPHRASES.owner }),
    });
    const cookie = first.headers.get("set-cookie") ?? "";
    expect(cookie).not.toContain("Secure");
    const view = await fetch(`${running.url}/api/access`, {
      headers: { cookie: cookie.split(";")[0] ?? "" },
    });
    const { network } = (await view.json()) as AccessView;
    expect(network.addresses[0]).toMatch(/^https:\/\/127\.0\.0\.2:\d+$/);
    port = Number(new URL(network.addresses[0] ?? "").port);
  });
  afterAll(async () => {
    await running?.stop();
    remove();
  });

  const over = (path: string, headers: Record<string, string> = {}, body?: string) =>
    new Promise<{ status: number; cookie: string; text: string; hsts: unknown }>((resolve, reject) => {
      const sent = request(
        // Made a moment ago by nobody who is known: what is looked at is what is said over it.
        {
          host: "127.0.0.2",
          port,
          path,
          method: body === undefined ? "GET" : "POST",
          rejectUnauthorized: false,
          headers,
        },
        (response) => {
          let text = "";
          response.on("data", (data: Buffer) => {
            text += data.toString();
          });
          response.on("end", () => {
            const [cookie = ""] = response.headers["set-cookie"] ?? [];
            resolve({
              status: response.statusCode ?? 0,
              cookie,
              text,
              hsts: response.headers["strict-transport-security"],
            });
          });
        },
      );
      sent.on("error", reject);
      sent.end(body);
    });

  it("speaks to the network over TLS alone, and to its own screen as before", async () => {
    expect((await over("/")).status).toBe(200);
    expect((await over("/")).hsts).toBeUndefined();
    await expect(fetch(`http://127.0.0.2:${new URL(running.url).port}/`)).rejects.toThrow();
    expect((await fetch(`${running.url}/`)).status).toBe(200);
  });

  it("gives a cookie that goes over TLS alone and belongs to this host alone", async () => {
    const signed = await over(
      "/api/access/sign-in",
      { "content-type": "application/json" },
      JSON.stringify({ name: "owner", passphrase: PASSPHRASES.owner }),
    );
    expect(signed.cookie).toMatch(
      /^__Host-station-session=[\w-]{43}; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict; Secure$/,
    );
    const value = signed.cookie.split(";")[0] ?? "";
    expect((await over("/api/now", { cookie: value })).status).toBe(200);
    // The cookie of plain HTTP, which whoever listens in there could have, is none here.
    expect((await over("/api/now", { cookie: value.replace("__Host-", "") })).status).toBe(401);
  });

  it("says in words what is wrong with the certificate, and does not start half", async () => {
    const other = makeCertificate(folder, "other");
    const text = join(folder, "text.pem");
    writeFileSync(text, "not a certificate");
    const cases = [
      [{ ...tls, key: other.key }, "is not that of the certificate"],
      [{ ...tls, key: join(folder, "nowhere.key") }, "it is not there"],
      [{ ...tls, cert: text }, "a certificate in PEM"],
    ] as const;
    for (const [entry, words] of cases) {
      const place = temporaryFolder();
      await expect(startStation(place.folder, config(entry))).rejects.toThrow(words);
      const checked = station(place.folder, "check", "--config", join(place.folder, "station.yaml"));
      expect(checked.stdout).toContain(words);
      place.remove();
    }
    rmSync(text);
  });

  it("says in good time that it runs out", () => {
    const checked = station(folder, "check", "--config", join(folder, "station.yaml"));
    expect(checked.stdout).toContain("the certificate runs out in 1 days");
  });
});
