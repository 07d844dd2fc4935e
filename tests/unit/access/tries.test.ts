import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { aGate, type GateRig, quickHashing } from "../web/a-gate.js";

const PASSPHRASE = "four words that suffice";
const PIN = "2580";
const WALL = { here: true, address: "127.0.0.1" };
const THERE = { here: false, address: "10.0.0.9" };

describe("tries of the PIN from the network", () => {
  let rig: GateRig;
  const wall = () => rig.access.caller(null, WALL);
  const signIn = async (name: string) =>
    rig.access.caller(await rig.access.signIn(rig.access.caller(null, THERE), name, PASSPHRASE), THERE);
  /** What a try comes to: "in", or the code of the refusal. */
  const pin = (caller: Awaited<ReturnType<typeof signIn>>, tried: string) =>
    rig.access.enterPin(caller, tried).then(
      () => "in",
      (error: { code: string }) => error.code,
    );

  beforeEach(async () => {
    rig = await aGate();
    await rig.access.begin(wall(), "Owner", PASSPHRASE);
    await rig.access.setPin(wall(), PIN, 10);
    for (const name of ["First", "Second"])
      await rig.access.add(wall(), { name, role: "viewer", passphrase: PASSPHRASE });
  });
  afterEach(() => rig.remove());

  it("are not free again for somebody who signs in anew", async () => {
    const codes: string[] = [];
    for (let n = 0; n < 10; n += 1) codes.push(await pin(await signIn("First"), `900${n}`));
    expect(codes.filter((code) => code === "sign-in-refused").length).toBe(5);
    expect(codes.slice(5)).toEqual(Array(5).fill("too-many-tries"));
  });

  it("are not free again for the next person, and the wall waits for none of them", async () => {
    for (let n = 0; n < 5; n += 1)
      expect(await pin(await signIn("First"), `900${n}`)).toBe("sign-in-refused");
    expect(await pin(await signIn("Second"), "9006")).toBe("too-many-tries");
    expect(await pin(wall(), PIN)).toBe("in");
    // Five minutes are the longest that anybody waits for somebody else.
    rig.clock.pass(300_001);
    expect(await pin(await signIn("Second"), PIN)).toBe("in");
  });
});

describe("a screen that a PIN has made an operator", () => {
  it("lets in no phone that may more than it may itself without the PIN", async () => {
    const rig = await aGate();
    const wall = () => rig.access.caller(null, WALL);
    await rig.access.begin(wall(), "Owner", PASSPHRASE);
    await rig.access.setPin(wall(), PIN, 10);
    await rig.access.add(wall(), { name: "First", role: "viewer", passphrase: PASSPHRASE });
    const token = await rig.access.signIn(rig.access.caller(null, THERE), "First", PASSPHRASE);
    const first = rig.access.caller(token, THERE);
    const raised = [
      rig.access.caller(await rig.access.enterPin(wall(), PIN), WALL),
      rig.access.caller(await rig.access.enterPin(first, PIN), THERE),
    ];
    for (const caller of raised) {
      expect(caller.role).toBe("operator");
      expect(() => rig.access.offer(caller, "operator")).toThrow("without the PIN");
      expect(rig.access.offer(caller, "viewer").token).not.toBe("");
      expect(rig.access.me(caller).raisedLeftMs).toBe(600_000);
    }
    await rig.remove();
  });

  it("is none by a PIN that was replaced while it was looked at", async () => {
    const hashing = quickHashing();
    let meanwhile: () => Promise<void> = async () => undefined;
    const rig = await aGate({
      ...hashing,
      async fits(...asked) {
        await meanwhile();
        return hashing.fits(...asked);
      },
    });
    const wall = () => rig.access.caller(null, WALL);
    await rig.access.begin(wall(), "Owner", PASSPHRASE);
    await rig.access.setPin(wall(), PIN, 10);
    meanwhile = () => rig.access.setPin(wall(), "9021", 10);
    await expect(rig.access.enterPin(wall(), PIN)).rejects.toMatchObject({ code: "sign-in-refused" });
    await rig.remove();
  });
});

describe("tries of a passphrase", () => {
  const refused = (rig: GateRig, address: string, name: string) =>
    rig.access
      .signIn(rig.access.caller(null, { here: false, address }), name, "not the right one at all")
      .then(
        () => "in",
        (error: { code: string }) => error.code,
      );

  it("from one IPv6 network are those of one place, however many addresses it has", async () => {
    const rig = await aGate();
    await rig.access.begin(rig.access.caller(null, WALL), "Owner", PASSPHRASE);
    const codes: string[] = [];
    for (let n = 0; n < 8; n += 1) codes.push(await refused(rig, `2001:db8:1:2::${n + 1}`, `name ${n}`));
    expect(codes).toEqual([...Array(5).fill("sign-in-refused"), ...Array(3).fill("too-many-tries")]);
    await rig.remove();
  });

  it("with names that are made up do not make those with a real name forgotten", async () => {
    const rig = await aGate();
    await rig.access.begin(rig.access.caller(null, WALL), "Owner", PASSPHRASE);
    for (let n = 0; n < 5; n += 1) await refused(rig, `10.0.0.${n}`, "Owner");
    for (let n = 0; n < 2_100; n += 1) await refused(rig, `10.1.${n >> 8}.${n & 255}`, `name ${n}`);
    expect(await refused(rig, "10.0.0.99", "Owner")).toBe("too-many-tries");
    await rig.remove();
  });
});
