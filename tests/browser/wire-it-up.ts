import type { Page } from "playwright-core";
import { expect } from "vitest";
import type { BarePi } from "./bare-pi.js";

/** Who does what the README says: a Pi, its terminal, and a browser on it. */
export interface Maker {
  readonly pi: BarePi;
  readonly page: Page;
  /** What a command said last. */
  said: string;
}

type Deed = (maker: Maker, found: readonly string[]) => Promise<unknown> | unknown;

const press = (label: string, beside?: string): Deed => {
  return ({ page }) => {
    const where = beside === undefined ? page.locator("body") : thing(page, beside);
    return where
      .getByRole("button")
      .or(where.getByRole("link"))
      .filter({ hasText: new RegExp(`^${escaped(label)}$`) })
      .first()
      .click();
  };
};
const thing = (page: Page, title: string) =>
  page.getByRole("listitem").filter({ has: page.getByRole("heading", { name: title, exact: true }) });
const escaped = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
const probe = (page: Page) =>
  page.getByRole("listitem").filter({ has: page.getByRole("heading", { name: /^Probe 28-/ }) });

/** What the tube's maker says, and what somebody calls a shed. */
const ANSWERS: Readonly<Record<string, string>> = {
  "Name of the station": "Back shed",
  "Coolant from": "16",
  "Coolant up to": "21",
};
const enter = async ({ page }: Maker, label: string) =>
  page.getByLabel(label).fill(ANSWERS[label] ?? expect.fail(`nobody knows what to enter as ${label}`));

/**
 * What each phrase of the steps means to whoever follows them, and no more than it says. A phrase that is not here is one that the test cannot
 * follow, and it fails; so does one that the pages do not bear out.
 */
const PHRASES: readonly (readonly [phrase: RegExp, deed: Deed])[] = [
  [/Switch the Pi off/, ({ pi }) => pi.power(false)],
  [/Switch the Pi on/, ({ pi }) => pi.power(true)],
  [
    /Connect the probe: red to pin (\d+) \(3\.3 V\), yellow to pin (\d+) \(GPIO 4\), black to pin (\d+) \(ground\), and the resistor between pin (\d+) and pin (\d+)/,
    ({ pi }, pins) => {
      const [red = 0, yellow = 0, black = 0, one = 0, other = 0] = pins.map(Number);
      pi.connectProbe({ red, yellow, black, resistor: [one, other] });
    },
  ],
  [/Where your probe has other colours, its sheet wins/, () => undefined],
  [
    /Connect the air-flow switch between pin (\d+) \(GPIO 17\) and pin (\d+) \(ground\)/,
    ({ pi }, [line, ground]) => pi.connectSwitch(Number(line), Number(ground)),
  ],
  [/(?:In a|In the) terminal(?: in this folder)?|In the browser/, () => undefined],
  [/When it is back/, () => undefined],
  [
    /(?:Now )?type:\n\n((?: {4}.+\n)+)/,
    async (maker, [commands = ""]) => {
      for (const command of commands.trim().split(/\n\s*/)) maker.said = await maker.pi.type(command);
    },
  ],
  [/press Ctrl-C/, ({ pi }) => pi.controlC()],
  [/Open <http:\/\/127\.0\.0\.1:8080>/, ({ pi, page }) => page.goto(pi.url)],
  [/Beside \*([^*]+)\* press \*([^*]+)\*/, (maker, [beside, label = ""]) => press(label, beside)(maker, [])],
  [/press \*([^*]+)\*/, (maker, [label = ""]) => press(label)(maker, [])],
  [/(?:then|read it, and press) \*([^*]+)\*/, (maker, [label = ""]) => press(label)(maker, [])],
  [
    /Under \*([^*]+)\* stands the probe with its temperature/,
    async ({ page }, [heading = ""]) => {
      await page.getByRole("heading", { name: heading, exact: true }).waitFor();
      await probe(page).getByText("18.5 °C").waitFor();
    },
  ],
  [
    /hold the probe in your closed hand until the page says \*([^*]+)\*/,
    async ({ pi, page }, [words = ""]) => {
      await page.getByText("Waiting for one to move").waitFor();
      pi.holdProbe();
      await page.getByRole("status").getByText(words).waitFor();
      pi.waterAt(19);
    },
  ],
  [
    /Under \*([^*]+)\* choose \*([^*]+)\*/,
    async ({ page }, [heading = "", label = ""]) => {
      const card = page.getByRole("region", { name: heading, exact: true });
      await card.getByRole("radio", { name: label, exact: true }).check();
    },
  ],
  [
    /choose \*([^*]+)\*/,
    ({ page }, [label = ""]) => page.getByRole("radio", { name: label, exact: true }).check(),
  ],
  [
    /tick \*([^*]+)\*/,
    ({ page }, [label = ""]) => page.getByRole("checkbox", { name: label, exact: true }).check(),
  ],
  [/Enter a \*([^*]+)\*/, (maker, [label = ""]) => enter(maker, label)],
  [
    /from the tube maker's manual \*([^*]+)\* and \*([^*]+)\*/,
    async (maker, labels) => {
      for (const label of labels) await enter(maker, label);
    },
  ],
  [/It says \*(Written)\*/, ({ page }, [word = ""]) => page.getByRole("status").getByText(word).waitFor()],
  [
    // The fan runs while this is answered.
    /Say with \*([^*]+)\* or \*[^*]+\* whether it runs now/,
    ({ page }, [yes = ""]) => page.getByRole("radio", { name: yes, exact: true }).check(),
  ],
  [
    /It says \*ok\* beside \*([^*]+)\* and beside \*([^*]+)\*, and what else the station could use/,
    ({ said }, roles) => {
      for (const role of roles) expect(said).toMatch(new RegExp(`ok {2}.*${escaped(role)}.*: read as `));
      expect(said).toMatch(/To mend it: add a channel/);
    },
  ],
  [
    /The page shows the probe's temperature as \*([^*]+)\*, and the extraction as \*([^*]+)\*/,
    async ({ page }, [name = "", word = ""]) => {
      await page.getByRole("heading", { name, exact: true }).waitFor();
      await page.getByTestId("coolant-value").getByText("19.0").waitFor();
      await page.getByTestId("extraction").getByText(word, { exact: true }).waitFor();
    },
  ],
  [/Switch the extraction off/, ({ pi }) => pi.extraction(false)],
  [
    /the page says \*([^*]+)\*/,
    ({ page }, [word = ""]) => page.getByTestId("extraction").getByText(word, { exact: true }).waitFor(),
  ],
  [
    /Switch it on again/,
    async ({ pi, page }) => {
      pi.extraction(true);
      await page.getByTestId("extraction").getByText("Running", { exact: true }).waitFor();
    },
  ],
];

/** What stands between two phrases and asks for nothing. */
const BETWEEN = /^(?:[\s,.:]|and\b|Then\b)+/i;

/** The numbered steps of a section of a Markdown text, each with its lines as they stand. */
export function stepsOf(markdown: string, heading: string): readonly string[] {
  const section = markdown.split(/^## /m).find((part) => part.startsWith(`${heading}\n`));
  if (section === undefined) throw new Error(`no section "${heading}"`);
  const lines = section.split("\n");
  const steps: string[] = [];
  let within = false;
  for (const line of lines) {
    const begun = /^(\d+)\. +(.*)$/.exec(line);
    if (begun) {
      expect(Number(begun[1]), "the steps' own numbers").toBe(steps.length + 1);
      steps.push(`${begun[2]}\n`);
      within = true;
    } else if (within && (line === "" || /^ {3}/.test(line))) {
      steps[steps.length - 1] += `${line.replace(/^ {3,4}(?=\S| {4})/, "")}\n`;
    } else within = false;
  }
  return steps;
}

/** Does what a step says, phrase by phrase. @param n its number, for whoever reads why it could not be done */
export async function follow(maker: Maker, step: string, n: number): Promise<void> {
  // A sentence goes on over the end of a line; a command does not.
  let rest = step.replace(/(\S)\n(?=\S)/g, (all, end, at: number) => (inCode(step, at) ? all : `${end} `));
  for (;;) {
    rest = rest.replace(BETWEEN, "");
    if (rest === "") return;
    const here = PHRASES.flatMap(([phrase, deed]) => {
      const found = new RegExp(`^(?:${phrase.source})`, "i").exec(rest);
      return found === null ? [] : [{ found, deed }];
    })[0];
    if (here === undefined) throw new Error(`Step ${n} says what nobody can do: "${rest.slice(0, 120)}"`);
    try {
      await here.deed(maker, here.found.slice(1));
    } catch (cause) {
      throw new Error(`Step ${n}, "${here.found[0]}": ${String(cause)}`, { cause });
    }
    rest = rest.slice(here.found[0].length);
  }
}

function inCode(text: string, at: number): boolean {
  return /^ {4}/.test(text.slice(text.lastIndexOf("\n", at) + 1));
}
