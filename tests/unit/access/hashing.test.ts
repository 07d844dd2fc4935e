import { describe, expect, it } from "vitest";
import { createHashing } from "../../../station/access/hashing.js";

describe("hashing", () => {
  it("is Argon2id with the memory, passes and lanes that are published for it", async () => {
    const hashing = createHashing();
    const hashed = await hashing.make("Zwölf Stühle am Fluss", true);
    // OWASP Password Storage Cheat Sheet (from memory): m=19456 (19 MiB), t=2, p=1; the form is that of the PHC string format.
    expect(hashed).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$[\w+/]{22}\$[\w+/]{43}$/);
    expect(await hashing.make("Zwölf Stühle am Fluss", true)).not.toBe(hashed);
    // Another keyboard writes the same letters as two characters each (Unicode NFD).
    expect(await hashing.fits(hashed, "Zwölf Stühle am Fluss".normalize("NFD"), true)).toBe(true);
    expect(await hashing.fits(hashed, "Zwölf Stühle am Fluss ", true)).toBe(false);
    expect(await hashing.fits("$argon2id$nonsense", "x", true)).toBe(false);
    expect(await hashing.fits(null, "nobody has this one", true)).toBe(false);
  });

  it("knows the test value of RFC 9106 by its parts: another implementation's hash fits", async () => {
    // Made with the reference implementation's command line: echo -n password | argon2 somesalt -id -t 2 -m 16 -p 4 -l 24
    // (README of phc-winner-argon2, from memory, there for Argon2i; this one is Argon2id with t=2, m=65536, p=1, l=32, from
    // the reference implementation's test.c, version 0x13).
    const known = "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc";
    expect(await createHashing().fits(known, "password", true)).toBe(true);
    expect(await createHashing().fits(known, "passwore", true)).toBe(false);
  });

  it("does two at a time, whoever stands at the station first, and of the network no more than can wait", async () => {
    const going: (() => void)[] = [];
    const order: string[] = [];
    const hashing = createHashing({
      hash: (secret) =>
        new Promise((done) => {
          order.push(secret);
          going.push(() => done("$argon2id$"));
        }),
      verify: async () => true,
    });
    const all = Array.from({ length: 10 }, (_, n) => hashing.make(`network ${n}`, false));
    const refused = hashing.make("one more", false);
    await expect(refused).rejects.toMatchObject({ code: "sign-in-busy" });
    const here = hashing.make("here", true);
    expect(order).toEqual(["network 0", "network 1"]);
    going.shift()?.();
    await all[0];
    expect(order).toEqual(["network 0", "network 1", "here"]);
    while (going.length > 0) {
      going.shift()?.();
      await new Promise((next) => setImmediate(next));
    }
    await Promise.all([...all, here]);
    expect(hashing.count()).toBe(11);
  });
});
