import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { aGate, type GateRig } from "../web/a-gate.js";

const PASSPHRASE = "four words that suffice";

describe("two changes of who may sign in, at the same time", () => {
  let rig: GateRig;
  const wall = () => rig.access.caller(null, { here: true, address: "127.0.0.1" });
  const people = () => rig.access.view(wall()).people;
  const idOf = (name: string) => people().find((person) => person.name === name)?.id ?? "";
  const add = (name: string, role: "owner" | "viewer" = "viewer") =>
    rig.access.add(wall(), { name, role, passphrase: PASSPHRASE });
  const outcomes = async (...changes: readonly Promise<unknown>[]) =>
    (await Promise.allSettled(changes)).map((each) =>
      each.status === "fulfilled" ? "done" : (each.reason as { code: string }).code,
    );

  beforeEach(async () => {
    rig = await aGate();
    await rig.access.begin(wall(), "Owner", PASSPHRASE);
  });
  afterEach(() => rig.remove());

  it("both come about", async () => {
    await Promise.all(["First", "Second", "Third"].map((name) => add(name)));
    expect(people().map(({ name }) => name)).toEqual(["Owner", "First", "Second", "Third"]);
  });

  it("do not bring somebody back who was taken off the list", async () => {
    await add("First");
    await add("Second");
    const [first, second] = [idOf("First"), idOf("Second")];
    await outcomes(
      rig.access.remove(wall(), first),
      rig.access.change(wall(), second, { role: "operator" }),
      rig.access.remove(wall(), second),
    );
    expect(people().map(({ name }) => name)).toEqual(["Owner"]);
    // It was kept like that too.
    const again = await rig.again();
    expect(again.view(again.caller(null, { here: true, address: "127.0.0.1" })).people.length).toBe(1);
  });

  it("do not give one name twice, and leave an owner", async () => {
    expect(await outcomes(add("Twice"), add("twice"))).toEqual(["done", "name-taken"]);
    await add("Other", "owner");
    const gone = [rig.access.remove(wall(), idOf("Owner")), rig.access.remove(wall(), idOf("Other"))];
    expect(await outcomes(...gone)).toEqual(["done", "last-owner"]);
  });

  it("do not make the list longer than the file may be, or nobody could sign in after the next start", async () => {
    const more = Array.from({ length: 100 }, (_, i) => add(`Person ${i}`));
    const done = await outcomes(...more);
    expect(done.filter((each) => each === "done")).toHaveLength(99);
    expect(done.filter((each) => each === "list-full")).toHaveLength(1);
    const again = await rig.again();
    expect(again.view(again.caller(null, { here: true, address: "127.0.0.1" })).people).toHaveLength(100);
  });

  it("do not give a passphrase to somebody who is no longer there", async () => {
    await add("First");
    const there = { here: false, address: "10.0.0.9" };
    const token = await rig.access.signIn(rig.access.caller(null, there), "First", PASSPHRASE);
    const caller = rig.access.caller(token, there);
    const done = await outcomes(
      rig.access.remove(wall(), idOf("First")),
      rig.access.changePassphrase(caller, PASSPHRASE, "quite another sentence"),
    );
    expect(done).toEqual(["done", "person-unknown"]);
    expect(people().map(({ name }) => name)).toEqual(["Owner"]);
  });
});
