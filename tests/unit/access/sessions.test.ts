import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { LONGEST_AGE_MS, LONGEST_IDLE_MS, pastSince } from "../../../station/access/sessions.js";
import { aGate, type GateRig } from "../web/a-gate.js";

const PASSPHRASE = "four words that suffice";
const DAY = 86_400_000;

describe("a session", () => {
  let rig: GateRig;
  const there = { here: false, address: "10.0.0.9" };
  const wall = () => rig.access.caller(null, { here: true, address: "127.0.0.1" });
  const signIn = () => rig.access.signIn(rig.access.caller(null, there), "Owner", PASSPHRASE);
  const roleOf = (token: string, access = rig.access) => access.caller(token, there).role;

  beforeEach(async () => {
    rig = await aGate();
    await rig.access.begin(wall(), "Owner", PASSPHRASE);
  });
  afterEach(() => rig.remove());

  it("ends after its idle time, or its age, by the monotonic clock alone", async () => {
    const idle = await signIn();
    rig.clock.pass(LONGEST_IDLE_MS + 1);
    expect(roleOf(idle)).toBeNull();
    const used = await signIn();
    for (let n = 0; n < LONGEST_AGE_MS / (20 * DAY); n += 1) {
      expect(roleOf(used)).toBe("owner");
      rig.clock.pass(20 * DAY);
    }
    rig.clock.pass(1);
    expect(roleOf(used)).toBeNull();
  });

  it("is neither ended nor kept by a wall clock that jumps", async () => {
    const token = await signIn();
    for (const wallClock of [0, 4e12, 1_700_000_000_000]) {
      rig.clock.at = { wall: wallClock, mono: rig.clock.at.mono + 1_000 };
      expect(roleOf(token)).toBe("owner");
    }
    rig.clock.at = { wall: 0, mono: rig.clock.at.mono + LONGEST_IDLE_MS + 1 };
    expect(roleOf(token)).toBeNull();
  });

  it("goes on over a restart, and a reboot, as long as anybody can tell", async () => {
    const token = await signIn();
    expect(roleOf(token, await rig.again())).toBe("owner");
    // Another boot, and the clock right on both sides: the time off counts.
    await rig.stop();
    rig.clock.bootId = "boot-2";
    rig.clock.at = { wall: rig.clock.at.wall + LONGEST_IDLE_MS - DAY, mono: 1_000 };
    expect(roleOf(token, await rig.again())).toBe("owner");
    await rig.stop();
    rig.clock.bootId = "boot-3";
    rig.clock.at = { wall: rig.clock.at.wall + LONGEST_IDLE_MS + DAY, mono: 1_000 };
    expect(roleOf(token, await rig.again())).toBeNull();
  });

  it("loses no time where the clock was not set, and gains none where it was set back", () => {
    const written = { wall: 1_000_000, mono: 50_000, boot: "a", clock: "synchronised" } as const;
    const now = { wall: 1_500_000, mono: 90_000, boot: "a", clock: "synchronised" } as const;
    expect(pastSince(written, now)).toBe(40_000);
    expect(pastSince(written, { ...now, boot: "b" })).toBe(500_000);
    expect(pastSince(written, { ...now, boot: "b", clock: "unknown" })).toBe(0);
    expect(pastSince({ ...written, clock: "not synchronised" }, { ...now, boot: "b" })).toBe(0);
    expect(pastSince(written, { ...now, boot: "b", wall: 5 })).toBe(0);
  });

  it("is another one after a sign-in, and the one before it has ended", async () => {
    const first = await signIn();
    const second = await rig.access.signIn(rig.access.caller(first, there), "Owner", PASSPHRASE);
    expect([roleOf(first), roleOf(second)]).toEqual([null, "owner"]);
    expect(rig.ended.length).toBe(1);
  });

  it("ends with the passphrase that it was begun with, on every screen but the one it is changed on", async () => {
    const [other, own] = [await signIn(), await signIn()];
    const next = await rig.access.changePassphrase(
      rig.access.caller(own, there),
      PASSPHRASE,
      "quite another sentence",
    );
    expect([other, own, next].map((token) => roleOf(token))).toEqual([null, null, "owner"]);
    await expect(signIn()).rejects.toMatchObject({ code: "sign-in-refused" });
  });

  it("may operate with the PIN for as long as somebody does something, and looks again then", async () => {
    await rig.access.setPin(wall(), "2580", 10);
    const token = await rig.access.enterPin(wall(), "2580");
    const here = { here: true, address: "127.0.0.1" };
    const role = () => rig.access.caller(token, here).role;
    for (let n = 0; n < 5; n += 1) {
      expect(role()).toBe("operator");
      rig.clock.pass(9 * 60_000);
      rig.access.acted(rig.access.caller(token, here));
    }
    // Looking is not doing.
    rig.clock.pass(9 * 60_000);
    expect(role()).toBe("operator");
    rig.clock.pass(61_000);
    expect(role()).toBe("viewer");
    rig.access.acted(rig.access.caller(token, here));
    expect(role()).toBe("viewer");
  });

  it("goes with its person, and is worth no more than that person is", async () => {
    const owner = rig.access.caller(await signIn(), there);
    await rig.access.add(owner, { name: "Second", role: "operator", passphrase: PASSPHRASE });
    const token = await rig.access.signIn(rig.access.caller(null, there), "second", PASSPHRASE);
    const person = rig.access.view(owner).people.find(({ name }) => name === "Second");
    expect(roleOf(token)).toBe("operator");
    await rig.access.change(owner, person?.id ?? "", { role: "viewer" });
    expect(roleOf(token)).toBeNull();
    const again = await rig.access.signIn(rig.access.caller(null, there), "SECOND", PASSPHRASE);
    expect(roleOf(again)).toBe("viewer");
    await rig.access.remove(owner, person?.id ?? "");
    expect(roleOf(again)).toBeNull();
  });

  it("ends the longest unused one of the same person beyond twenty, and nobody else's", async () => {
    await rig.access.setPin(wall(), "2580", 10);
    const wallToken = await rig.access.enterPin(wall(), "2580");
    const owner = await signIn();
    await rig.access.add(wall(), { name: "Second", role: "viewer", passphrase: PASSPHRASE });
    const seconds: string[] = [];
    for (let n = 0; n < 203; n += 1) {
      seconds.push(await rig.access.signIn(rig.access.caller(null, there), "Second", PASSPHRASE));
    }
    expect([roleOf(owner), roleOf(wallToken)]).toEqual(["owner", "operator"]);
    expect(seconds.map((token) => roleOf(token)).lastIndexOf(null)).toBe(203 - 21);
  });

  it("of the last owner is not to be had away with", async () => {
    const owner = rig.access.caller(await signIn(), there);
    const [only] = rig.access.view(owner).people;
    await expect(rig.access.remove(owner, only?.id ?? "")).rejects.toMatchObject({ code: "last-owner" });
    await expect(rig.access.change(owner, only?.id ?? "", { role: "viewer" })).rejects.toMatchObject({
      code: "last-owner",
    });
  });

  it("is had by nobody while the file cannot be read, and what is damaged is not written over", async () => {
    const token = await signIn();
    const file = join(rig.folder, "access.json");
    await rig.stop();
    const damaged = readFileSync(file, "utf8").slice(0, 100);
    writeFileSync(file, damaged);
    const access = await rig.again();
    expect(readFileSync(file, "utf8")).toBe(damaged);
    expect([access.state(), roleOf(token, access)]).toEqual(["unreadable", null]);
    expect(access.caller(null, { here: true, address: "127.0.0.1" }).role).toBe("viewer");
    await expect(access.signIn(access.caller(null, there), "Owner", PASSPHRASE)).rejects.toMatchObject({
      code: "access-unreadable",
    });
    await expect(
      access.begin(access.caller(null, { here: true, address: "x" }), "Me", PASSPHRASE),
    ).rejects.toThrow();
    const told = rig.logged.join("\n");
    expect(told).toContain("access.json is not JSON");
    expect(told).not.toContain("argon2id");
  });
});

describe("a passphrase", () => {
  it.each([
    ["short", "at least 15"],
    ["aaaaaaaaaaaaaaaaaaaaaa", "over and over"],
    ["OwnerOwnerOwnerOwner", "more than the name"],
    ["x".repeat(90) + "abcdefg".repeat(10), "at most 128"],
  ])("is not %s", async (passphrase, why) => {
    const rig = await aGate();
    const wall = rig.access.caller(null, { here: true, address: "127.0.0.1" });
    await expect(rig.access.begin(wall, "Owner", passphrase)).rejects.toThrow(why);
    expect(rig.access.state()).toBe("open");
    await rig.remove();
  });

  it.each(["123", "123456789", "12a4", "1111", "1234", "8765", ""])("and a PIN is not %s", async (pin) => {
    const rig = await aGate();
    const wall = rig.access.caller(null, { here: true, address: "127.0.0.1" });
    await rig.access.begin(wall, "Owner", PASSPHRASE);
    await expect(rig.access.setPin(wall, pin, 10)).rejects.toMatchObject({ code: "request-invalid" });
    await rig.remove();
  });
});
