import type { Browser, BrowserContext, BrowserContextOptions, Page } from "playwright-core";
import type { PropertyId } from "../../station/model/grade.js";
import { type GradingRig, SHED } from "./grading-rig.js";

const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };
/** So that Chromium finds the station by a name of the workshop's network. */
export const FIND_SHED = `--host-resolver-rules=MAP ${SHED} 127.0.0.1`;

/** A phone at the bench, with a browser of its own, and the page that it has open. */
export class GradingPhone {
  page!: Page;
  /** What its browser complained of. */
  readonly complaints: string[] = [];

  private constructor(
    readonly rig: Pick<GradingRig, "address">,
    readonly context: BrowserContext,
  ) {}

  static async named(
    name: string,
    rig: Pick<GradingRig, "address">,
    browser: Browser,
    options: BrowserContextOptions = PHONE,
  ): Promise<GradingPhone> {
    const context = await browser.newContext(options);
    await context.addInitScript((given) => localStorage.setItem("station.screen-name", given), name);
    return new GradingPhone(rig, context);
  }

  async open(path: string): Promise<void> {
    this.page = await this.context.newPage();
    this.page.on("pageerror", (error) => this.complaints.push(error.message));
    this.page.on("console", (message) => {
      if (/Content Security Policy|violates/.test(message.text())) this.complaints.push(message.text());
    });
    await this.page.goto(this.rig.address(path));
  }

  at(id: string) {
    return this.page.getByTestId(id);
  }

  /** Presses a grade, and waits until it is shown as given. */
  async grade(property: PropertyId, place: number): Promise<void> {
    await this.press(property, place);
    await this.page.locator(`[data-testid=grade-${property}-${place}][aria-pressed=true]`).waitFor();
  }

  press(property: PropertyId, place: number): Promise<void> {
    return this.at(`grade-${property}-${place}`).click();
  }

  async measure(property: PropertyId, typed: string): Promise<void> {
    await this.at(`measure-${property}`).getByRole("textbox").fill(typed);
    await this.at(`keep-${property}`).click();
  }

  /**
   * Back within reach, and "Try now" is pressed. What is sent by itself meanwhile is held until then: the button goes with what
   * waits.
   */
  async backAndTryNow(): Promise<void> {
    let letGo = () => {};
    const pressed = new Promise<void>((go) => {
      letGo = go;
    });
    await this.page.route("**/api/entries", async (route) => {
      await pressed;
      // The page may have given it up meanwhile.
      await route.continue().catch(() => {});
    });
    await this.context.setOffline(false);
    await this.at("send-now").click();
    letGo();
    await this.page.unrouteAll({ behavior: "wait" });
  }

  overhang(): Promise<number> {
    return this.page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
  }
}
