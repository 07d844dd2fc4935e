import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { RESTART_CAUSES } from "../../station/model/source.js";
import { crc16CcittFalse } from "../../station/sources/serial/crc16.js";
import { BoardDecoder, DROPS } from "../../station/sources/serial/parse.js";

const DOCUMENT = readFileSync(new URL("../../firmware-notes/serial-protocol.md", import.meta.url), "utf8");
const NOW = { wall: 1_700_000_000_000, mono: 1_000_000 };

interface Block {
  readonly kind: string;
  readonly text: string;
}

const BLOCKS: Block[] = [...DOCUMENT.matchAll(/^```([a-z][a-z -]*)\n([\s\S]*?)\n```$/gm)].map(
  ([, kind, text]) => ({
    kind: kind ?? "",
    text: text ?? "",
  }),
);

/** Each frame with the readings printed below it. */
const FRAMES = BLOCKS.flatMap(({ kind, text }, i) => {
  const below = BLOCKS[i + 1];
  return kind === "frame"
    ? [{ line: text, readings: below?.kind === "readings" ? below.text : "none printed" }]
    : [];
});

const DROPPED = BLOCKS.filter(({ kind }) => kind.startsWith("dropped ")).map(({ kind, text }) => ({
  why: kind.slice("dropped ".length),
  line: text,
}));

const decode = (line: string) => new BoardDecoder().push(new TextEncoder().encode(`${line}\n`), NOW);

describe("the examples of the protocol's document", () => {
  test("are there", () => {
    expect(FRAMES.length).toBeGreaterThanOrEqual(6);
    expect(DROPPED.length).toBeGreaterThanOrEqual(4);
  });

  test.each(FRAMES)("$line gives what is printed below it", ({ line, readings }) => {
    const decoded = decode(line);
    expect(decoded.frames).toBe(1);
    const printed = decoded.readings.map(({ at, ...rest }) => ({
      ...rest,
      ...(at.mono === NOW.mono ? {} : { age_s: (NOW.mono - at.mono) / 1000 }),
    }));
    expect(printed).toEqual(JSON.parse(readings));
  });

  test.each(DROPPED)("$line is dropped as $why", ({ why, line }) => {
    expect(decode(line)).toEqual({ readings: [], frames: 0, dropped: { [why]: 1 }, restarts: [] });
  });

  test("every name of a drop is in the table, and none besides", () => {
    const table = DOCUMENT.slice(DOCUMENT.indexOf("## What is dropped"));
    const names = [...table.matchAll(/^\| `([a-z-]+)` \|/gm)].map(([, name]) => name);
    expect(names).toEqual([...DROPS]);
  });

  test("the causes of a start are those in its table", () => {
    const table = DOCUMENT.slice(
      DOCUMENT.indexOf("### Why the board began anew"),
      DOCUMENT.indexOf("## What is dropped"),
    );
    const words = [...table.matchAll(/^\| `([a-z-]+)` \|/gm)].map(([, word]) => word);
    expect(words).toEqual(Object.keys(RESTART_CAUSES));
    const line = FRAMES.find(({ line: text }) => text.includes('"reset"'))?.line ?? "";
    expect(decode(line).restarts).toEqual(["watchdog"]);
  });

  test("the checksum's check value is that of the code", () => {
    const value = crc16CcittFalse(new TextEncoder().encode("123456789")).toString(16).toUpperCase();
    expect(DOCUMENT).toContain(`\`123456789\` it is \`${value}\``);
  });
});
