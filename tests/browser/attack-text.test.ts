import { randomUUID } from "node:crypto";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { AlarmDefinition } from "../../station/model/alarm.js";
import { PASSPHRASES } from "../service/attack-rig.js";
import { fromPhone } from "../unit/trials/photos/pictures.js";
import { LOTS, lotFacts } from "../unit/trials/plan-bench.js";
import { openBrowser } from "./chromium.js";
import { GradingRig } from "./grading-rig.js";

/** What runs in a page that takes a name for a part of itself. Short enough for every field that there is. */
const IMAGE = "<img src=x onerror=ran()>";
const SCRIPT = `"><script>ran()</script><svg onload=ran()>`;
const LINK = "javascript:ran()";

describe("script in every text field", () => {
  const rig = new GradingRig();
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  let pages: readonly string[];
  const violations: string[] = [];

  beforeAll(async () => {
    await rig.begin(["through"], 2);
    const url = rig.station.url;
    await rig.done("PUT", `/api/lots/${LOTS[0]}`, {
      facts: lotFacts({
        product: SCRIPT,
        supplier: IMAGE,
        storage: IMAGE,
        note: `${SCRIPT}\n${LINK}`.replace("\n", " "),
      }),
      by: IMAGE,
    });
    const [cut] = await rig.specimens();
    const [code, run] = [cut?.code ?? "", cut?.runs[0]?.id ?? ""];
    await fetch(
      `${url}/api/photos?${new URLSearchParams({ entry: randomUUID(), subject: code, note: SCRIPT, by: IMAGE })}`,
      {
        method: "POST",
        headers: { "content-type": "image/jpeg" },
        body: new Uint8Array(await fromPhone()),
      },
    );
    const settings = { material: SCRIPT, lot: IMAGE, note: `${IMAGE} ${LINK}` };
    await rig.done("PATCH", `/api/runs/${run}/settings`, settings);
    await rig.done("PUT", "/api/emergency", {
      facts: { fire: IMAGE, ambulance: LINK, person: SCRIPT, address: SCRIPT, meeting: IMAGE },
      by: IMAGE,
    });
    await rig.done("POST", "/api/maintenance", { kind: "optics-cleaned", note: SCRIPT });
    await rig.done("POST", "/api/entries", {
      entries: [
        {
          ...{
            entry: randomUUID(),
            kind: "grade",
            subject: code,
            property: "through",
            enteredWall: null,
            by: IMAGE,
          },
          body: { value: 1, grading: 1 },
        },
      ],
    });
    await rig.done("POST", `/api/plans/${rig.plan}/decision`, { lot: null, reason: SCRIPT, by: IMAGE });
    await rig.done("POST", `/api/lots/${LOTS[0]}/sheet`, {
      ...{ what: IMAGE, speed_mm_s: 10, power_pct: 50, passes: 1, focus_spacer_mm: null, margin_pct: 10 },
      ...{ conditions: SCRIPT, plan: rig.plan, by: IMAGE },
    });
    const { definitions } = await rig.get<{ definitions: AlarmDefinition[] }>("/api/alarms");
    const alarm = definitions.find(({ id }) => id === "coolant-high")?.id ?? "";
    const words = { cause: SCRIPT, consequence: IMAGE, action: SCRIPT };
    await rig.done("PUT", `/api/alarms/${alarm}/setting`, { set: words, why: SCRIPT, by: IMAGE });
    rig.water(30);
    const past = `run,material,lot,speed_mm_s,power_pct,passes,outcome\n1,"${SCRIPT.replaceAll('"', '""')}",${IMAGE},10,50,1,good\n`;
    await fetch(`${url}/api/past-runs?${new URLSearchParams({ dry: "false", by: IMAGE })}`, {
      method: "POST",
      headers: { "content-type": "text/csv" },
      body: past,
    });
    const odd = encodeURIComponent(IMAGE);
    pages = [
      ...["/", "/runs", `/runs/${run}`, "/alarms", "/safety", "/journal", "/past-runs", "/workshop"],
      ...["/plans", `/plans/${rig.plan}`, `/plans/${rig.plan}/labels`, `/plans/${rig.plan}/decision`],
      ...["/lots", `/lots/${LOTS[0]}`, `/settings-sheet/${LOTS[0]}`, "/history"],
      ...["/review", "/review/materials", "/review/drift", `/review/runs/${run}`],
      ...["/grade", `/s/${code}`, "/access", "/deeds", `/pin?back=${encodeURIComponent(LINK)}`],
      ...[`/s/${odd}`, `/runs/${odd}`, `/lots/${odd}`, `/${odd}`, `/?q=${odd}`, `/pair#${odd}`],
    ];
    // Last, because from then on everybody signs in; and people have names too.
    const signed = await fetch(`${url}/api/access/passphrase`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ name: IMAGE, passphrase: PASSPHRASES.owner }),
    });
    const value = /station-session=([\w-]+)/.exec(signed.headers.get("set-cookie") ?? "")?.[1] ?? "";
    browser = await openBrowser();
    context = await browser.newContext();
    await context.addCookies([{ name: "station-session", value, url, httpOnly: true, sameSite: "Strict" }]);
    await context.addInitScript("window.ran = () => { window.hasRun = (window.hasRun ?? 0) + 1; }");
    page = await context.newPage();
    page.on("console", (message) => {
      if (message.text().includes("Content Security Policy")) violations.push(message.text());
    });
    page.on("dialog", (dialog) => void dialog.dismiss());
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("is shown as the text it is, and nothing of it is even tried to be run", async () => {
    const shown: string[] = [];
    const ran: string[] = [];
    for (const path of pages) {
      await page.goto(`${rig.station.url}${path}`);
      await page.locator("main h1, main h2").first().waitFor({ state: "attached" });
      await page.waitForLoadState("networkidle");
      const found = await page.evaluate(() => {
        for (const details of document.querySelectorAll("details")) details.open = true;
        const strange = document.querySelectorAll(
          'img[src="x"], main script, svg[onload], [onerror], a[href^="javascript:"]',
        );
        return {
          ran: (window as { hasRun?: number }).hasRun ?? 0,
          strange: strange.length,
          text: document.body.textContent ?? "",
        };
      });
      if (found.ran + found.strange > 0) ran.push(path);
      if (/<img src=x|<script>/.test(found.text)) shown.push(path);
    }
    expect(ran).toEqual([]);
    expect(violations).toEqual([]);
    // It did get to where it is shown: else nothing would have been shown by this.
    for (const path of ["/", "/runs", "/safety", "/lots", "/deeds", "/access", "/workshop", "/past-runs"])
      expect(shown).toContain(path);
    expect(shown.length).toBeGreaterThan(14);
  });

  it("would be stopped by the policy of the pages, if a page ever took it for a part of itself", async () => {
    await page.goto(rig.station.url);
    await page.evaluate((html) => {
      document.body.insertAdjacentHTML("beforeend", html);
    }, IMAGE + SCRIPT);
    await expect.poll(() => violations.length).toBeGreaterThan(0);
    expect(await page.evaluate(() => (window as { hasRun?: number }).hasRun ?? 0)).toBe(0);
  });

  it("is text in what goes into a spreadsheet too", async () => {
    const answer = await context.request.get(`${rig.station.url}/api/tables/runs.csv`);
    expect(answer.headers()["content-type"]).toContain("text/csv");
    expect(answer.headers()["x-content-type-options"]).toBe("nosniff");
    expect(answer.headers()["content-disposition"]).toContain("attachment");
  });
});
