import { describe, expect, it } from "vitest";
import { deriveHealth, type HealthFacts, STALLED_AFTER_MS } from "../../../station/journal/health.js";

const well: HealthFacts = {
  now: 100_000,
  waiting: 20,
  dropped: 0,
  refused: 0,
  lastCommitMono: 99_000,
  waitingSinceMono: 99_500,
  opening: false,
  trouble: null,
  unsealed: null,
  held: false,
  commits: null,
  wal: null,
  closed: false,
};

describe("the journal's health", () => {
  it("is writing while commits come", () => {
    expect(deriveHealth(well)).toEqual({
      writing: true,
      held: false,
      waiting: 20,
      dropped: 0,
      lastCommitMono: 99_000,
      ...{ commits: null, slow: false, wal: null },
      text: "The journal is being written.",
    });
  });

  it("is writing, but says so where old readings could not be packed away", () => {
    const { writing, text } = deriveHealth({ ...well, unsealed: "A page could not be read." });
    expect(writing).toBe(true);
    expect(text).toMatch(/is being written\. Old readings are kept, .*: A page could not be read\.$/);
  });

  it("is not writing after a failed commit, and says why and how much is held", () => {
    const health = deriveHealth({ ...well, waiting: 340, trouble: "the disk is full: make room on it" });
    expect(health.writing).toBe(false);
    expect(health.text).toBe(
      "The journal is not being written: the disk is full: make room on it. 340 readings are held in memory.",
    );
  });

  it("is not writing when something has waited, and nothing been committed, for more than 15 s", () => {
    const since = well.now - STALLED_AFTER_MS;
    const stalled = { ...well, lastCommitMono: since - 1, waitingSinceMono: since - 50_000 };
    expect(deriveHealth(stalled).writing).toBe(false);
    expect(deriveHealth(stalled).text).toContain("nothing has been committed for 15 s");
    expect(deriveHealth({ ...stalled, lastCommitMono: since }).writing).toBe(true);
    expect(deriveHealth({ ...stalled, lastCommitMono: null }).writing).toBe(false);
  });

  it("is writing after an idle hour, for the first reading has only just come", () => {
    expect(deriveHealth({ ...well, lastCommitMono: 0, waitingSinceMono: well.now - 2000 }).writing).toBe(
      true,
    );
    expect(deriveHealth({ ...well, lastCommitMono: 0, waitingSinceMono: null, waiting: 0 }).writing).toBe(
      true,
    );
  });

  it("says what was lost", () => {
    expect(deriveHealth({ ...well, dropped: 12 }).text).toBe(
      "The journal is being written. 12 readings were lost.",
    );
  });

  it("does not end a sentence twice", () => {
    const { text } = deriveHealth({
      ...well,
      waiting: 0,
      trouble: "the file is damaged. Put back a backup.",
    });
    expect(text).toContain("written: the file is damaged. Put back a backup. 0 readings");
  });

  it("says what was not taken in", () => {
    expect(deriveHealth({ ...well, refused: 3, trouble: "the disk is full" }).text).toContain(
      "3 entries other than readings (alarms, settings) were not kept",
    );
  });

  it("is not writing before the journal has been open", () => {
    const opening = deriveHealth({ ...well, opening: true, lastCommitMono: null });
    expect(opening.writing).toBe(false);
    expect(opening.text).toContain("it is being opened");
    expect(deriveHealth({ ...well, opening: true, trouble: "the disk is full" }).text).toContain(
      "the disk is full",
    );
  });

  it("says that readings are held for want of room, while runs are still being written", () => {
    const { writing, held, text } = deriveHealth({ ...well, held: true, waiting: 812 });
    expect([writing, held]).toEqual([true, true]);
    expect(text).toContain("Runs, stamps, alarms and settings are being written, but readings are not");
    expect(text).toContain("812 readings are held in memory, and are written once there is room");
  });

  it("says that the disk is slow once three commits of late took longer than a second", () => {
    const commits = { medianMs: 1200, longestMs: 5300, slow: 3, commits: 4 };
    expect(deriveHealth({ ...well, commits }).text).toContain("The disk is slow");
    expect(deriveHealth({ ...well, commits }).text).toContain("3 times to keep something, 5.3 s at worst");
    expect(deriveHealth({ ...well, commits: { ...commits, slow: 2 } }).text).not.toContain("slow");
  });

  it("says that a large WAL waits for a reader, but not that a small one does", () => {
    const told = (bytes: number, pagesWaiting: number) =>
      deriveHealth({ ...well, wal: { bytes, pagesWaiting } }).text;
    expect(told(120e6, 400)).toContain("120 MB are kept in a file beside the journal");
    expect([told(120e6, 0), told(9e6, 400)]).toEqual([told(0, 0), told(0, 0)]);
  });
});
