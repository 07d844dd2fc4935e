import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { BoardStation } from "../service/board-station.js";
import { openBrowser } from "./chromium.js";

interface Spoken {
  readonly how: "assertive" | "polite";
  readonly words: string;
}

/**
 * Notes in the page what a screen reader would say of itself: what is added to a live region that is not made silent by a
 * dialog over it (WAI-ARIA 1.2, aria-live, aria-relevant; a region within an inert part is not in the accessibility tree).
 */
function listen(): void {
  const heard: Spoken[] = [];
  (window as unknown as { heard: Spoken[] }).heard = heard;
  const say = (region: HTMLElement, said: string | null) => {
    const over = document.querySelector("dialog:modal");
    const words = said?.replace(/\s+/g, " ").trim() ?? "";
    if (words === "" || region.closest("[inert], [aria-hidden=true]")) return;
    if (over !== null && !over.contains(region)) return;
    const assertive = region.getAttribute("aria-live") === "assertive" || region.role === "alert";
    heard.push({ how: assertive ? "assertive" : "polite", words });
  };
  new MutationObserver((changes) => {
    for (const { target, addedNodes, type } of changes) {
      const at = target instanceof Element ? target : target.parentElement;
      const region = at?.closest<HTMLElement>("[aria-live], [role=alert], [role=status]");
      if (region) {
        const added = [...addedNodes].map((node) => node.textContent).join(" ");
        say(region, type === "characterData" ? target.textContent : added);
        continue;
      }
      // An alert is said as it comes into the page, too.
      for (const node of addedNodes)
        if (node instanceof Element)
          for (const alert of node.querySelectorAll<HTMLElement>("[role=alert]"))
            say(alert, alert.textContent);
    }
  }).observe(document, { subtree: true, childList: true, characterData: true });
}

describe("what a screen reader says by itself", () => {
  const rig = new BoardStation();
  let browser: Browser;
  let page: Page;
  const at = (id: string) => page.getByTestId(id);
  const heard = () => page.evaluate(() => (window as unknown as { heard: Spoken[] }).heard);
  const saying = async (pattern: RegExp) => (await heard()).filter(({ words }) => pattern.test(words));
  const until = (pattern: RegExp, timeout = 30_000) =>
    expect.poll(() => saying(pattern), { timeout }).toHaveLength(1);
  /** Long enough for the station to have spoken some times. */
  const aWhile = () => page.waitForTimeout(3500);

  beforeAll(async () => {
    await rig.plugIn();
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 800, height: 480 } });
    await page.addInitScript(listen);
    await page.goto(rig.station.url);
    await at("fitness").getByText("Fit to cut").first().waitFor();
  });
  beforeEach(() => page.evaluate(() => (window as unknown as { heard: Spoken[] }).heard.splice(0)));
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("is nothing while values come and nothing changes", async () => {
    await aWhile();
    expect(await heard()).toEqual([]);
  });

  it("is a new alarm at once, with its priority, its title and what to do, and once", async () => {
    await at("run-begin").click();
    await at("run-end").waitFor();
    rig.fan(0);
    await until(/^Urgent alarm: Extraction has stopped\. .*Stop the cut at the machine\./);
    await until(/^Not fit to cut\. /);
    await aWhile();
    const said = await saying(/Extraction has stopped/);
    expect(said.map(({ how }) => how)).toEqual(["assertive"]);
    expect((await saying(/^Not fit to cut/)).map(({ how }) => how)).toEqual(["polite"]);
  });

  it("stands as an alert in the accessibility tree", async () => {
    const devtools = await page.context().newCDPSession(page);
    const { nodes } = await devtools.send("Accessibility.getFullAXTree");
    const alerts = nodes.filter(({ role }) => role?.value === "alert");
    const below = (id: string): string => {
      const node = nodes.find(({ nodeId }) => nodeId === id);
      return [node?.name?.value ?? "", ...(node?.childIds ?? []).map(below)].join(" ");
    };
    expect(alerts.map(({ nodeId }) => below(nodeId)).join(" ")).toMatch(
      /Urgent alarm: Extraction has stopped/,
    );
    const live = alerts.flatMap(
      ({ properties }) => properties?.find(({ name }) => name === "live")?.value.value,
    );
    expect(live).toContain("assertive");
  });

  it("is not said again on another page", async () => {
    await page.getByRole("navigation").getByRole("link", { name: "Safety" }).click();
    await page.getByRole("heading", { name: "Safety", level: 1 }).waitFor();
    await page.getByRole("navigation").getByRole("link", { name: "Now" }).click();
    await at("run-end").waitFor();
    expect((await heard()).filter(({ how }) => how === "assertive")).toEqual([]);
  });

  it("is without haste that it was acknowledged, that it is over, and that the machine is fit again", async () => {
    await at("ack-extraction-stopped").focus();
    await page.keyboard.press("Enter");
    await until(/^Acknowledged: Extraction has stopped\.$/);
    rig.fan(1500);
    await until(/^No longer standing: Extraction has stopped\.$/);
    await until(/^Fit to cut\. /);
    expect((await heard()).map(({ how }) => how)).not.toContain("assertive");
  });

  it("is an alarm also while a dialog lies over the page, and nothing once more when it is closed", {
    timeout: 150_000,
  }, async () => {
    await at("job-sheet").click();
    await at("job-sheet-panel").waitFor();
    rig.fan(0);
    await until(/^Urgent alarm: Extraction has stopped/);
    await page.keyboard.press("Escape");
    await at("job-sheet-panel").waitFor({ state: "detached" });
    await aWhile();
    expect(await saying(/^Urgent alarm/)).toHaveLength(1);
    rig.fan(1500);
    await at("ack-extraction-stopped").click();
    await until(/^Acknowledged: Extraction has stopped\.$/);
    // Twice within a minute: it stays, so that a contact that comes and goes is one alarm.
    await until(/^No longer standing: Extraction has stopped\.$/, 90_000);
  });

  it("is that the station is lost, and that it is back", async () => {
    await rig.station.kill();
    await until(/No word from the station since/);
    await aWhile();
    expect(await saying(/No word from the station/)).toEqual([expect.objectContaining({ how: "assertive" })]);
    await rig.start();
    await until(/^The station answers again\.$/);
    expect((await saying(/answers again/))[0]?.how).toBe("polite");
  });
});
