import { describe, expect, test } from "vitest";
import { RESTART_CAUSES } from "../../station/model/source.js";
import { sealFrame } from "../../station/sources/serial/frame.js";
import { BoardDecoder } from "../../station/sources/serial/parse.js";

const NOW = { wall: 1_700_000_000_000, mono: 1_000_000 };

/** What a decoder makes of lines that carry a number and a cause, either of which may be left out. */
function starts(lines: readonly (readonly [sequence: number | null, cause: string | null])[]): string[] {
  const decoder = new BoardDecoder();
  return lines.flatMap(([sequence, cause]) => {
    const records = [
      { n: "fan", u: "1/min", v: 1500 },
      ...(cause === null ? [] : [{ n: "reset", vs: cause }]),
      ...(sequence === null ? [] : [{ n: "seq", v: sequence }]),
    ];
    const { restarts } = decoder.push(new TextEncoder().encode(sealFrame(JSON.stringify(records))), NOW);
    return restarts;
  });
}

describe("serial: why a board began anew", () => {
  test("the lines that tell of one start count once", () => {
    expect(
      starts([
        [0, "power-on"],
        [1, "power-on"],
        [3, "power-on"],
        [4, null],
      ]),
    ).toEqual(["power-on"]);
  });

  test("each start counts, also where its first lines are lost, and where it comes at once", () => {
    const lines = [
      [4711, null],
      [2, "watchdog"],
      [3, "watchdog"],
      [0, "brown-out"],
      [1, "brown-out"],
      [1, "external"],
    ] as const;
    expect(starts(lines)).toEqual(["watchdog", "brown-out", "external"]);
  });

  test("a number that goes back to 0 by itself is no start", () => {
    expect(
      starts([
        [65535, null],
        [0, null],
        [1, null],
      ]),
    ).toEqual([]);
  });

  test("without numbers the lines that tell of it one after the other count once", () => {
    expect(
      starts([
        [null, "watchdog"],
        [null, "watchdog"],
        [null, null],
        [null, "watchdog"],
      ]),
    ).toEqual(["watchdog", "watchdog"]);
  });

  test("a word that is not known is a start all the same", () => {
    expect(starts([[0, "cosmic-ray"]])).toEqual(["unknown"]);
    expect(starts([[0, "__proto__"]])).toEqual(["unknown"]);
  });

  test("opening the port anew forgets no start and makes none", () => {
    const decoder = new BoardDecoder();
    const push = (sequence: number) =>
      decoder.push(
        new TextEncoder().encode(sealFrame(`[{"n":"reset","vs":"external"},{"n":"seq","v":${sequence}}]`)),
        NOW,
      ).restarts;
    expect(push(3)).toEqual(["external"]);
    decoder.reset();
    expect(push(4)).toEqual([]);
    decoder.reset();
    expect(push(0)).toEqual(["external"]);
  });

  test("every cause has its words", () => {
    for (const { text } of Object.values(RESTART_CAUSES)) expect(text).toMatch(/^it/);
  });
});
