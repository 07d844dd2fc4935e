import type { Locator, Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { openScene, SCENES } from "./every-page.js";
import type { Facts } from "./filled-station.js";
import { needChecks } from "./need-checks.js";
import { onFilledStation } from "./on-filled-station.js";

/** A form with something left out: where it stands, how it comes to lack it, and what its button then says. */
interface Lacking {
  readonly name: string;
  readonly address: (facts: Facts) => string;
  /** Opens the form, and empties what is filled in beforehand. */
  readonly before?: (page: Page) => Promise<unknown>;
  readonly button: (page: Page) => Locator;
  readonly field: (page: Page) => Locator;
  readonly words: RegExp;
}

const named = (name: string) => (page: Page) => page.getByRole("button", { name, exact: true });
const labelled = (label: string | RegExp) => (page: Page) => page.getByLabel(label).first();
const tested = (id: string) => (page: Page) => page.getByTestId(id).first();
const PASSPHRASE = "four words for a shed";

const FORMS: readonly Lacking[] = [
  {
    ...{ name: "a decision without a choice", address: ({ plan }) => `/plans/${plan}/decision` },
    ...{ button: tested("decision-keep"), words: /one of them, or none/ },
    field: (page) => page.getByTestId("own-decision").getByRole("radio").first(),
  },
  {
    ...{ name: "a decision without a reason", address: ({ plan }) => `/plans/${plan}/decision` },
    before: (page) => page.getByTestId("own-decision").getByRole("radio").first().check(),
    ...{ button: tested("decision-keep"), field: labelled("Reason"), words: /why, in your own words/ },
  },
  {
    ...{ name: "settings without a speed", address: ({ plan }) => `/plans/${plan}/decision` },
    before: (page) =>
      page
        .getByLabel(/^Speed/)
        .first()
        .fill(""),
    ...{ button: tested("put-on-sheet"), field: labelled(/^Speed/), words: /not above the one found/ },
  },
  {
    ...{ name: "settings that are for nothing", address: ({ plan }) => `/plans/${plan}/decision` },
    before: (page) => page.getByLabel("For what").first().fill(" "),
    ...{ button: tested("put-on-sheet"), field: labelled("For what"), words: /what the settings are for/ },
  },
  {
    ...{ name: "a specimen without its code", address: () => "/grade" },
    ...{ button: tested("code-open"), field: tested("code"), words: /a code/ },
  },
  {
    ...{ name: "an alarm out of service without a reason", address: () => "/alarms/settings/coolant-high" },
    before: (page) => page.getByTestId("out-of-service").locator("summary").click(),
    button: named("Take it out of service"),
    field: (page) => page.getByTestId("out-of-service").getByLabel("Why"),
    words: /why it is out of service/,
  },
  {
    ...{ name: "a piece that is skipped without a reason", address: () => "/" },
    before: async (page) => {
      for (const check of await needChecks(page)) await check.check();
      await page.getByTestId("checks-done").click();
      await page.getByTestId("skip").click();
    },
    ...{ button: named("Skip it"), field: labelled("In other words"), words: /a reason/ },
  },
  {
    ...{ name: "a phone without a name", address: () => "/pair#x" },
    before: (page) => page.getByTestId("pair-name").fill(""),
    ...{ button: tested("pair"), field: tested("pair-name"), words: /a name/ },
  },
  {
    ...{ name: "an owner without a name", address: () => "/access" },
    before: (page) => page.getByLabel("Your name").fill(" "),
    ...{ button: tested("first-set"), field: labelled("Your name"), words: /the name that you sign in with/ },
  },
  {
    ...{ name: "a PIN without digits", address: () => "/access" },
    before: async (page) => {
      await page.getByTestId("first-passphrase").fill(PASSPHRASE);
      await page.getByTestId("first-set").click();
    },
    ...{ button: tested("pin-set"), words: /4 to 8 digits/ },
    field: (page) => page.getByLabel("PIN", { exact: true }),
  },
  {
    ...{ name: "somebody without a name", address: () => "/access" },
    before: (page) => page.getByText("Add somebody").click(),
    ...{ button: tested("person-add"), words: /the name that they sign in with/ },
    field: (page) => page.getByLabel("Name", { exact: true }),
  },
];

describe("a form that lacks something", () => {
  let page: Page;
  const rig = onFilledStation((opened) => {
    page = opened;
  });

  it("has a button that can be pressed all the same, on every page", { timeout: 600_000 }, async () => {
    const dead: unknown[] = [];
    for (const scene of SCENES) {
      await openScene(page, rig.station.url, scene, rig.facts);
      const found = await page
        .locator("button[type=submit]:disabled")
        .evaluateAll((all) => all.map((each) => each.textContent));
      if (found.length > 0) dead.push([scene.name, found]);
    }
    expect(dead).toEqual([]);
  });

  it.each(FORMS)("$name: says so at the field, and brings the keyboard there", async (form) => {
    await page.goto("about:blank");
    await page.goto(`${rig.station.url}${form.address(rig.facts)}`);
    await page.waitForLoadState("networkidle");
    await form.before?.(page);
    const button = form.button(page);
    await button.focus();
    expect(await button.evaluate((each) => each === document.activeElement)).toBe(true);
    await page.keyboard.press("Enter");
    const field = form.field(page);
    await expect.poll(() => field.evaluate((each) => each === document.activeElement)).toBe(true);
    // Of a choice it is the group that says it.
    const said = await field.evaluate((each) =>
      [each, each.closest("fieldset")]
        .flatMap((one) => one?.getAttribute("aria-describedby")?.split(" ") ?? [])
        .map((id) => document.getElementById(id)?.textContent)
        .join(" "),
    );
    expect(said).toMatch(/Expected/);
    expect(said).toMatch(form.words);
  });
});
