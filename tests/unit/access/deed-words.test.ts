import { describe, expect, it } from "vitest";
import { ALL_PERMISSIONS } from "../../../station/access/permissions.js";
import { deedWords, outcomeWords } from "../../../ui/src/access/deed-words.js";

describe("who did what", () => {
  it("has a person's words for everything that changes something", () => {
    const changing = ALL_PERMISSIONS.filter(
      ({ method, route, least }) =>
        method !== "GET" && !route.startsWith("/access") && (least === "operator" || least === "owner"),
    ).map(({ method, route }) => `${method} ${route}`);
    expect(changing.length).toBeGreaterThan(20);
    expect(changing.filter((what) => deedWords(what) === what)).toEqual([]);
  });

  it("says what came of it", () => {
    expect(["200", "202", "403", "500", "done", "refused: not the right one"].map(outcomeWords)).toEqual([
      "done",
      "done, not on the disk yet",
      "refused (403)",
      "failed (500)",
      "done",
      "refused: not the right one",
    ]);
  });
});
