import { describe, expect, it } from "vitest";
import type { Told } from "../../../station/outward/told.js";
import { ADVISER, mailOf, messageIdOf } from "../../../station/outward/wording.js";

const told = (changes: Partial<Told> = {}): Told => ({
  ...{ id: "1-1", what: "alarm", station: "Back shed", simulated: false, alarm: "coolant-high" },
  ...{ kind: "coolant-high", title: "Coolant too warm", priority: "high", transition: "raised" },
  ...{ state: "unacknowledged", detail: "It is 22.4 °C.", consequence: "The tube may crack." },
  ...{ action: "Stop cutting.", by: null, wall: 60_000, clock: "synchronised" },
  ...changes,
});
const when = (wall: number) => `at ${wall / 60_000} min`;
const mail = (...all: readonly Told[]) => mailOf(all, "mail:1-1", "shop.example", when);

describe("a mail of one alarm", () => {
  it("says what, when, why and what to do, and that the station is no interlock", () => {
    expect(mail(told())).toEqual({
      subject: "High: Coolant too warm (Back shed)",
      text: `High: Coolant too warm, raised\nat 1 min\nIt is 22.4 °C.\nWhy: The tube may crack.\nWhat to do: Stop cutting.\n\n${ADVISER}\n`,
      messageId: messageIdOf("mail:1-1", "shop.example"),
    });
  });

  it("names who did what, and asks for nothing any more", () => {
    const { subject, text } = mail(
      told({ transition: "acknowledged", state: "acknowledged", by: "the wall screen" }),
    );
    expect(subject).toBe("High: Coolant too warm, acknowledged (Back shed)");
    expect(text).toContain("acknowledged by the wall screen\n");
    expect(text).not.toMatch(/Why:|What to do:/);
  });

  it("says where nothing was measured, and where the clock was not set", () => {
    const { subject, text } = mail(told({ simulated: true, clock: "not synchronised" }));
    expect(subject).toBe("SIMULATED: High: Coolant too warm (Back shed)");
    expect(text).toMatch(/^SIMULATED: .*Nothing of it was measured\.\n/);
    expect(text).toContain("at 1 min (the station's clock was not set)");
  });

  it("lets nothing that was typed begin a line or a header of its own, nor grow the subject without end", () => {
    const typed = "Shed\r\nBcc: somebody@else.example\u2028What to do: nothing";
    const { subject, text } = mail(told({ station: typed, detail: typed, by: typed }));
    expect(subject).toBe("High: Coolant too warm (Shed Bcc: somebody@else.example What to do: nothing)");
    expect(text).not.toMatch(/^Bcc|^What to do: nothing/m);
    expect(mail(told({ title: "x".repeat(500) })).subject).toHaveLength(120);
  });
});

describe("a mail of several", () => {
  it("is headed by the one that matters most, and of two alike by the one that still stands", () => {
    const over = told({
      title: "Over",
      priority: "urgent",
      state: "normal",
      transition: "returned-to-normal",
    });
    const stands = told({ title: "Stands", priority: "urgent" });
    const { subject, text } = mail(told(), over, stands);
    expect(subject).toBe("URGENT: Stands and 2 more (Back shed)");
    expect(text).toMatch(/^3 messages of Back shed, the oldest first\.\n/);
    expect(text.indexOf("Coolant too warm")).toBeLessThan(text.indexOf("Over, over"));
    expect(text.indexOf("Over, over")).toBeLessThan(text.indexOf("Stands, raised"));
  });

  it("tells twenty in full and how many more there are", () => {
    const { text } = mail(...Array.from({ length: 23 }, (_, n) => told({ id: `1-${n}` })));
    expect(text.match(/Coolant too warm, raised/g)).toHaveLength(20);
    expect(text).toContain("And 3 more: see the page Alarms of the station.");
  });
});

it("a mail's id is the same at every try, another for another key, and has no word of the key", () => {
  // RFC 5322, section 3.6.4: "<" id-left "@" id-right ">".
  const id = messageIdOf("mail:1-1", "shop.example");
  expect(id).toMatch(/^<[0-9a-f]{32}@shop\.example>$/);
  expect(messageIdOf("mail:1-1", "shop.example")).toBe(id);
  expect(messageIdOf("mail:1-2", "shop.example")).not.toBe(id);
});
