import { Agent, request } from "node:http";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { KeptDeed } from "../../station/model/deed.js";
import { AttackRig, PASSPHRASES, PIN } from "./attack-rig.js";

const TRIES = 10_000;

describe("ten thousand tries", () => {
  const rig = new AttackRig();
  beforeAll(() => rig.begin());
  afterAll(() => rig.end());

  /** Over a few connections that stay open, as whoever tries would do it. */
  async function tries(count: number, path: string, bodyOf: (n: number) => object, host: string) {
    const agent = new Agent({ keepAlive: true, maxSockets: 20 });
    const statuses = new Map<number, number>();
    const one = (n: number) =>
      new Promise<void>((done) => {
        const sent = request({
          ...{ agent, host, port: rig.port, path, method: "POST" },
          headers: { "content-type": "application/json", "station-page": "1" },
        });
        sent.on("error", () => done());
        sent.on("response", (response) => {
          const { statusCode = 0 } = response;
          statuses.set(statusCode, (statuses.get(statusCode) ?? 0) + 1);
          response.resume().on("end", done);
        });
        sent.end(JSON.stringify(bodyOf(n)));
      });
    for (let n = 0; n < count; n += 100) await Promise.all(Array.from({ length: 100 }, (_, i) => one(n + i)));
    agent.destroy();
    return statuses;
  }

  /**
   * The tries may have ended just as their wait did. It is waited out, and another failure begins one that is too long to end
   * before the next question.
   */
  async function failOnceMore() {
    const wrong = () => rig.signIn("owner", { from: "network" }, "wrong one at the end");
    let answer = await wrong();
    while (answer.status === 429) {
      await new Promise((go) => setTimeout(go, Number(answer.headers["retry-after"]) * 1000));
      answer = await wrong();
    }
    expect(answer.status).toBe(403);
  }

  it("of a passphrase from the network have a handful looked at, and the owner signs in at the wall meanwhile and after", async () => {
    const before = await rig.hashes();
    const began = performance.now();
    const trying = tries(
      TRIES,
      "/api/access/sign-in",
      (n) => ({ name: "owner", passphrase: `wrong one ${n}` }),
      "127.0.0.2",
    );
    const meanwhile = await rig.signIn("owner", { from: "wall" });
    expect(meanwhile.status).toBe(200);
    const statuses = await trying;
    const seconds = (performance.now() - began) / 1000;
    const computed = (await rig.hashes()) - before - 1;
    console.info(
      `${TRIES} tries in ${seconds.toFixed(1)} s: ${computed} hashes, answers ${JSON.stringify([...statuses])}`,
    );
    // Five are free, and then each wait is twice the one before.
    expect(computed).toBeLessThanOrEqual(5 + Math.ceil(Math.log2(seconds + 1)) + 1);
    expect(statuses.get(200)).toBeUndefined();
    const after = await rig.signIn("owner", { from: "wall" });
    expect(after.status).toBe(200);
    await failOnceMore();
    // Even the right one is not looked at from there, and how long that lasts is said.
    const there = await rig.signIn("owner");
    expect([there.status, Number(there.headers["retry-after"]) > 0]).toEqual([429, true]);
  });

  it("of names that nobody has are no way round it", async () => {
    const before = await rig.hashes();
    await tries(500, "/api/access/sign-in", (n) => ({ name: `name ${n}`, passphrase: "wrong" }), "127.0.0.2");
    expect((await rig.hashes()) - before).toBeLessThanOrEqual(1);
  });

  it("at the wall itself keep nobody out for longer than ten seconds", async () => {
    await tries(
      200,
      "/api/access/sign-in",
      (n) => ({ name: "owner", passphrase: `wrong ${n}` }),
      "127.0.0.1",
    );
    const answer = await rig.signIn("owner", { from: "wall" });
    if (answer.status !== 200) {
      const wait = Number(answer.headers["retry-after"]);
      expect([answer.status, wait <= 10]).toEqual([429, true]);
      await new Promise((go) => setTimeout(go, wait * 1000));
    }
    expect((await rig.signIn("owner", { from: "wall" })).status).toBe(200);
  });

  it("of a PIN have a handful looked at too", async () => {
    const before = await rig.hashes();
    const pins = Array.from({ length: 10_000 }, (_, n) => String(n).padStart(4, "0")).filter(
      (pin) => pin !== PIN,
    );
    await tries(1_000, "/api/access/pin", (n) => ({ pin: pins[n] ?? "" }), "127.0.0.1");
    expect((await rig.hashes()) - before).toBeLessThanOrEqual(12);
  });

  it("are told of in a few lines, and with nothing of what was tried", async () => {
    const { cookie } = await rig.signIn("owner", { from: "wall" });
    const { text } = await rig.ask("GET", "/api/access/deeds?limit=200", { cookie: cookie ?? undefined });
    const { deeds } = JSON.parse(text) as { deeds: KeptDeed[] };
    const refused = deeds.filter(({ outcome }) => outcome.startsWith("refused"));
    expect(refused.length).toBeGreaterThan(0);
    expect(refused.length).toBeLessThan(30);
    const all = `${text}${rig.station.output()}`;
    expect(all).not.toContain("wrong");
    for (const secret of Object.values(PASSPHRASES)) expect(all).not.toContain(secret);
  });
});
