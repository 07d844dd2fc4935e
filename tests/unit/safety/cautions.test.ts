import { describe, expect, it } from "vitest";
import { CAUTIONS } from "../../../safety/cautions.js";
import { CHECKLISTS } from "../../../safety/checklists.js";
import { EXPOSURE_LIMITS } from "../../../safety/exposure.js";
import { NEVER_CUT_LIST } from "../../../safety/never-cut.js";
import { CAUTION_RULES } from "../../../safety/rules.js";
import { SOURCES } from "../../../safety/sources.js";
import { STATEMENT } from "../../../safety/statement.js";

const all = Object.entries(CAUTIONS);

describe("every caution", () => {
  it.each(all)("%s stands under its own id, which begins with its topic", (key, { id, topic }) => {
    expect(id).toBe(key);
    expect(id.startsWith(`${topic}-`)).toBe(true);
  });

  it.each(all)("%s rests on a source with a title, an edition and a day", (_, { sources }) => {
    expect(sources.length).toBeGreaterThan(0);
    for (const { title, reviewed } of sources) {
      expect(title).toMatch(/\b(19|20)\d\d\b|undated/);
      expect(title.length).toBeGreaterThan(20);
      expect(reviewed).toMatch(/^20\d\d-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/);
    }
  });

  it.each(all)("%s is short and plain", (_, { headline, text }) => {
    expect(headline.length).toBeLessThanOrEqual(60);
    expect(headline).not.toMatch(/[.!]$/);
    expect(text).toMatch(/\.$/);
    expect(text.length).toBeLessThanOrEqual(360);
    expect(headline + text).not.toContain("!");
  });

  it.each(all)("%s is chosen by a rule", (key) => {
    expect(CAUTION_RULES.some(({ caution }) => caution === key)).toBe(true);
  });

  it("that gives a limit says whose it is and from when", () => {
    const withLimit = all.filter(([, { text }]) => /\d\s*(ppm|mg\/m³)/.test(text));
    expect(withLimit.map(([id]) => id)).toEqual(["fume-board", "fume-wood"]);
    for (const [, { text, sources }] of withLimit) {
      expect(text).toMatch(/British limit .* \(EH40, 2020\); look up your own/);
      expect(sources.some(({ title, fromMemory }) => title.startsWith("HSE EH40/2005") && fromMemory)).toBe(
        true,
      );
    }
  });
});

describe("no text promises anything", () => {
  const texts = [
    ...all.flatMap(([, { headline, text }]) => [headline, text]),
    STATEMENT.short,
    ...STATEMENT.long,
  ];
  it.each(texts)("%s", (text) => {
    expect(text).not.toMatch(/\bsafe to\b|guarantee|\bno risk\b|\bharmless\b|completely safe|\bensures?\b/i);
  });
});

describe("the sources", () => {
  it("are each used by a caution, a limit or a list, and listed once", () => {
    const used = new Set(
      [
        ...all.flatMap(([, { sources }]) => sources),
        ...EXPOSURE_LIMITS.map(({ source }) => source),
        ...NEVER_CUT_LIST.flatMap(({ sources }) => sources),
        ...Object.values(CHECKLISTS).flatMap(({ items }) => items.flatMap(({ sources }) => sources)),
      ].map(({ title }) => title),
    );
    const listed = Object.values(SOURCES).map(({ title }) => title);
    expect(new Set(listed).size).toBe(listed.length);
    expect(listed.filter((title) => !used.has(title))).toEqual([]);
    expect(used.size).toBe(listed.length);
  });
});

describe("the statement", () => {
  const long = STATEMENT.long.join(" ");
  it("says in both forms that this is an adviser and no interlock, and whom to follow", () => {
    for (const text of [STATEMENT.short, long]) {
      expect(text).toMatch(/adviser/);
      expect(text).toMatch(/not a safety interlock/);
      expect(text).toMatch(/never switches the laser/);
      expect(text).toMatch(/manual/);
      expect(text).toMatch(/local codes/);
    }
  });
  it("leaves licensed work to licensed people and the emergency numbers to the owner", () => {
    expect(long).toMatch(/licensed/);
    expect(long).toMatch(/emergency numbers are yours to fill in/);
  });
});
