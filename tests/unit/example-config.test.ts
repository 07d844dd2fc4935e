import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { demoConfig, readConfig } from "../../station/config.js";

const FILE = "firmware-notes/station.example.yaml";
const TEXT = readFileSync(new URL(`../../${FILE}`, import.meta.url), "utf8");

describe("the example that people copy", () => {
  it("is taken as it stands", () => {
    const config = readConfig(TEXT, FILE);
    expect(config.sources.map(({ driver }) => driver)).toEqual([
      "kernel-1-wire",
      "kernel-sensor",
      "serial",
      "digital-input",
    ]);
    expect(config.coolant_range).toEqual({ low: 15, high: 22 });
  });

  it("feeds all that fit-to-cut and a run by itself need", () => {
    const kinds = readConfig(TEXT, FILE).channels.map(({ kind }) => kind);
    expect(kinds).toEqual(
      expect.arrayContaining([
        "coolant-inlet",
        "room-temperature",
        "room-humidity",
        "extraction-speed",
        "coolant-flow",
        "laser-on",
      ]),
    );
  });

  it("leaves no source without a channel", () => {
    const { sources, channels } = readConfig(TEXT, FILE);
    const used = new Set(channels.map(({ source }) => source));
    expect(sources.map(({ id }) => id).filter((id) => !used.has(id))).toEqual([]);
  });

  it("has a section on who is told that is taken as soon as its marks of a comment are gone", () => {
    const lines = TEXT.split("\n");
    const from = lines.indexOf("# outward:");
    const section = lines.slice(from, lines.indexOf("", from)).map((line) => line.replace(/^# /, ""));
    const { outward } = readConfig(`${TEXT}\n${section.join("\n")}\n`, FILE);
    expect(Object.keys(outward ?? {}).sort()).toEqual(
      ["heartbeat", "mail", "mqtt", "quiet_hours", "tell_start", "webhook"].sort(),
    );
  });

  it("keeps the journal where a plain user may write, unless told otherwise", () => {
    expect(readConfig(TEXT, FILE).journal.folder).toBeUndefined();
  });
});

describe("the configuration that a fresh installation begins with", () => {
  it("is the simulated bench, as it is where there is none", () => {
    const file = ".setup/service/simulated.yaml";
    const text = readFileSync(new URL(`../../${file}`, import.meta.url), "utf8");
    expect(readConfig(text, file)).toEqual(demoConfig());
  });
});
