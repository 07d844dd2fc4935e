import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { BoardStation } from "../service/board-station.js";
import { wrongIn } from "./axe.js";
import { openBrowser } from "./chromium.js";

const PASSPHRASE = "correct horse battery staple";
/** Further pages of the same browser have the same cookies; another context is another browser. */
const WALL = { viewport: { width: 800, height: 480 } };
const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true };

describe("the door of the station", () => {
  // Over a board, on which nothing begins a run before the wall does.
  const rig = new BoardStation({ args: ["--host", "127.0.0.2"] });
  let browser: Browser;
  let network: string;
  let owner: Page;
  let phone: Page;
  let wall: Page;
  const contexts: BrowserContext[] = [];
  /** What the browser would not run or load, of all pages. */
  const violations: string[] = [];

  const open = async (screen: object): Promise<Page> => {
    const context = await browser.newContext(screen);
    contexts.push(context);
    const page = await context.newPage();
    page.on("console", (message) => {
      if (message.text().includes("Content Security Policy")) violations.push(message.text());
    });
    return page;
  };

  /** What is wrong with a page by the rules of WCAG as it stands, with all that is folded opened, in both sets of colours. */
  const wrong = async (page: Page) => {
    const all: unknown[] = [];
    for (const colorScheme of ["light", "dark"] as const) {
      await page.emulateMedia({ colorScheme });
      all.push(...(await wrongIn(page)));
    }
    return all;
  };
  /** Holds back the station's answers to what the page asks of an address from now on, once it has asked something. */
  const heldBack = async (page: Page, address: string) => {
    let holding = true;
    let held = 0;
    let release = () => {};
    const released = new Promise<void>((done) => {
      release = done;
    });
    await page.route(address, async (route) => {
      if (!holding) return route.continue();
      const response = await route.fetch();
      held += 1;
      await released;
      await route.fulfill({ response });
    });
    // A page on which nobody has signed in tries to reach the station again and again, and asks each time who it is.
    await expect.poll(() => held, { timeout: 30_000 }).toBeGreaterThan(0);
    holding = false;
    return {
      /** The answers that were held back come in, and what they change is drawn. */
      async arrive() {
        const last = page.waitForResponse(address);
        release();
        await last;
        await page.evaluate(() => new Promise((drawn) => setTimeout(drawn, 500)));
      },
    };
  };
  const unfold = (page: Page) =>
    page.evaluate(() => {
      for (const details of document.querySelectorAll("details")) details.open = true;
    });

  beforeAll(async () => {
    await rig.plugIn();
    network = rig.station.url.replace("127.0.0.1", "127.0.0.2");
    browser = await openBrowser();
    owner = await open(WALL);
    phone = await open(PHONE);
    wall = await open(WALL);
  });
  afterAll(async () => {
    for (const context of contexts) await context.close();
    await browser?.close();
    await rig.end();
  });

  it("is closed to the network until a passphrase is set at the station, and then open to it at once", async () => {
    await expect(fetch(network)).rejects.toThrow();
    await owner.goto(`${rig.station.url}/`);
    await owner.getByTestId("who-am-i").click();
    await owner.getByTestId("first-passphrase").fill("too short");
    await owner.getByTestId("first-set").click();
    await owner.getByText("Expected at least 15 characters").waitFor();
    await owner.getByTestId("first-passphrase").fill(PASSPHRASE);
    await owner.getByTestId("first-set").click();
    await owner.getByTestId("people").getByRole("strong").waitFor();
    await owner.getByTestId("own-role").getByText("owns").waitFor();
    expect((await fetch(network)).status).toBe(200);
  });

  it("shows a phone nothing but the sign-in, and then the page that it came for", async () => {
    await phone.goto(`${network}/history`);
    await phone.getByTestId("sign-in-passphrase").fill("not this one at all");
    await phone.getByTestId("sign-in").click();
    await phone.getByText("do not go together").waitFor();
    await phone.getByTestId("sign-in-passphrase").fill(PASSPHRASE);
    await phone.getByTestId("sign-in").click();
    await phone.getByRole("heading", { name: "History", level: 1 }).waitFor({ state: "attached" });
    await phone.goto(`${network}/access`);
    await phone.getByTestId("sign-out").click();
    await phone.getByTestId("sign-in-passphrase").waitFor();
    expect(await wrong(phone)).toEqual([]);
  });

  it("lets a phone in by a code, once, when its button is pressed and not when the address is opened", async () => {
    await owner.getByTestId("pairing-show").click();
    const address = (await owner.getByTestId("pairing").getAttribute("data-address")) ?? "";
    expect(address).toMatch(new RegExp(`^${network}/pair#[\\w-]{43}$`));
    // As what looks at an address before a person does.
    expect((await fetch(address)).status).toBe(200);
    await unfold(owner);
    expect(await wrong(owner)).toEqual([]);
    await phone.goto(address);
    await phone.getByTestId("pair-name").fill("Bench phone");
    expect(await wrong(phone)).toEqual([]);
    expect(new URL(phone.url()).hash).toBe("");
    const late = await heldBack(phone, "**/api/access/me");
    const answered = phone.waitForResponse("**/api/access/me");
    await phone.getByTestId("pair").click();
    await phone.getByTestId("paired").click();
    await phone.getByTestId("coolant-value").waitFor();
    await answered;
    // What was asked before the pairing and is answered after it does not shut the phone out again.
    await late.arrive();
    expect(await phone.getByTestId("coolant-value").isVisible()).toBe(true);
    const other = await open(PHONE);
    await other.goto(address);
    await other.getByTestId("pair-name").fill("Another phone");
    await other.getByTestId("pair").click();
    await other.getByText("has been used").waitFor();
  });

  it("has the screen on the wall look, and operate with the PIN, and comes back to where it was", async () => {
    await owner.getByLabel("PIN", { exact: true }).fill("2580");
    await owner.getByTestId("pin-set").click();
    await owner.getByText("One is set").waitFor();
    await wall.goto(`${rig.station.url}/`);
    await wall.getByTestId("run-begin").click();
    await wall.getByTestId("way-in").click();
    for (const digit of ["2", "5", "8", "1"]) await wall.getByTestId(`pin-${digit}`).click();
    await wall.getByText("4 digits entered").waitFor();
    expect(await wrong(wall)).toEqual([]);
    await wall.getByTestId("pin-enter").click();
    await wall.getByText("That is not the PIN").waitFor();
    // A keyboard will do as well.
    await wall.keyboard.type("2580");
    await wall.keyboard.press("Enter");
    await wall.getByTestId("run-begin").click();
    await wall.getByTestId("run-end").waitFor();
    await wall.getByTestId("who-am-i").click();
    await wall.getByTestId("pin-lock").click();
    await wall.getByTestId("pin-1").waitFor();
  });

  it("cuts a phone off at once when its session is ended, and tells the owner who did what", async () => {
    await owner.goto(`${rig.station.url}/access`);
    const row = owner.getByTestId("sessions").locator("li", { hasText: "Bench phone" });
    await row.waitFor();
    expect(await wrong(owner)).toEqual([]);
    await row.getByRole("button").click();
    await phone.getByTestId("sign-in-passphrase").waitFor();
    await owner.goto(`${rig.station.url}/deeds`);
    const deeds = owner.getByTestId("deeds");
    await deeds.getByText("session ended").waitFor();
    await deeds.locator("tr", { hasText: "Wall screen" }).getByText("began a run").waitFor();
    expect(await deeds.textContent()).not.toContain(PASSPHRASE);
    expect(await wrong(owner)).toEqual([]);
  });

  it("never had anything on its pages that their policy forbids", () => {
    expect(violations).toEqual([]);
  });
});
