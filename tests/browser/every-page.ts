import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import type { Facts } from "./filled-station.js";

/** A page as somebody sees it: its address, and what is done there to see all of it. */
export interface Scene {
  /** As the shell has it. */
  readonly route: string;
  readonly name: string;
  readonly address: (facts: Facts) => string;
  readonly deed?: (page: Page) => Promise<unknown>;
}

/** Where a page has nothing to be done first, its address says all. */
function plain(route: string, address: (facts: Facts) => string = () => route): Scene {
  return { route, name: route, address };
}

const wrongForm = (id: string) => async (page: Page) => {
  await page.getByTestId(id).click();
  await page.locator(".field-expected").first().waitFor();
};

/** Every page of the station with something on it: a page that the shell has and this has not fails the tests. */
export const SCENES: readonly Scene[] = [
  plain("/"),
  {
    ...{ route: "/", name: "the job sheet", address: () => "/" },
    deed: async (page) => {
      await page.getByTestId("job-sheet").click();
      // It is drawn before it is laid over the page.
      await page.locator("dialog[open]").waitFor();
    },
  },
  plain("/runs"),
  plain("/runs/:id", ({ run }) => `/runs/${run}`),
  plain("/past-runs"),
  plain("/grey-card"),
  plain("/plans"),
  plain("/plans/new"),
  { route: "/plans/new", name: "a wrong plan", address: () => "/plans/new", deed: wrongForm("plan-keep") },
  plain("/plans/:id", ({ plan }) => `/plans/${plan}`),
  plain("/plans/:id/labels", ({ waitingPlan }) => `/plans/${waitingPlan}/labels`),
  {
    ...{ route: "/plans/:id/labels", name: "the cutting sheet" },
    address: ({ waitingPlan }) => `/plans/${waitingPlan}/labels`,
    deed: (page) => page.getByRole("button", { name: "Cutting sheet" }).click(),
  },
  {
    ...{ route: "/plans/:id/labels", name: "codes to engrave" },
    address: ({ waitingPlan }) => `/plans/${waitingPlan}/labels`,
    deed: (page) => page.getByRole("button", { name: "Codes to engrave" }).click(),
  },
  plain("/plans/:id/decision", ({ plan }) => `/plans/${plan}/decision`),
  plain("/settings-sheet/:lot", ({ lot }) => `/settings-sheet/${lot}`),
  plain("/lots"),
  plain("/lots/new"),
  { route: "/lots/new", name: "a wrong lot", address: () => "/lots/new", deed: wrongForm("lot-keep") },
  plain("/lots/:id", ({ lot }) => `/lots/${lot}`),
  plain("/history"),
  plain("/coolant"),
  plain("/alarms"),
  plain("/alarms/performance"),
  plain("/alarms/settings/:id", () => "/alarms/settings/coolant-high"),
  plain("/safety"),
  plain("/checklists/:id", () => "/checklists/before-first-cut"),
  plain("/journal"),
  plain("/grade"),
  plain("/s/:code", ({ code }) => `/s/${code}`),
  plain("/s/:code/photo/:photo", ({ code, photo }) => `/s/${code}/photo/${photo}`),
  plain("/workshop"),
  plain("/setup"),
  {
    ...{ route: "/setup", name: "a role" },
    address: () => "/setup",
    deed: (page) =>
      page
        .getByRole("button", { name: /^(Give it a role|Change): / })
        .first()
        .click(),
  },
  plain("/calibrate"),
  plain("/access"),
  plain("/deeds"),
  plain("/sign-in"),
  plain("/pin"),
  plain("/pair"),
  plain("/review"),
  plain("/review/runs/:id", ({ badRun }) => `/review/runs/${badRun}`),
  plain("/review/materials"),
  {
    ...{ route: "/review/materials", name: "two stocks" },
    address: ({ stocks: [first, second] }) => `/review/materials?${new URLSearchParams({ first, second })}`,
  },
  plain("/review/drift"),
  {
    ...{ route: "/review/drift", name: "a reference" },
    address: ({ reference }) => `/review/drift?${new URLSearchParams({ reference })}`,
  },
  plain("/review/method"),
  { route: "default", name: "no such page", address: () => "/nonsense" },
  { route: "/plans/:id", name: "no such plan", address: () => "/plans/nonsense" },
];

/** The routes of the shell, and the addresses that the station answers with a page. */
export function routesOfThePages(): readonly string[] {
  const shell = readFileSync("ui/src/shell/shell.tsx", "utf8");
  const routes = [...shell.matchAll(/<Route\s+(?:path="([^"]+)"|(default)\b)/g)].map(
    ([, path, none]) => path ?? none,
  );
  const answered = /const PAGES = \[([^\]]*)\]/.exec(readFileSync("station/web/app.ts", "utf8"))?.[1] ?? "";
  const addresses = [...answered.matchAll(/"([^"]+)"/g)].map(([, path]) => path);
  return [...new Set([...routes, ...addresses])].filter((path) => path !== undefined).sort();
}

/** Opens a scene and waits until what it shows is there. */
export async function openScene(page: Page, url: string, scene: Scene, facts: Facts): Promise<void> {
  await page.goto(`${url}${scene.address(facts)}`);
  await page.locator("main h1, main h2").first().waitFor({ state: "attached" });
  await page.waitForLoadState("networkidle");
  await page
    .locator("main [role=status]")
    .filter({ hasText: /^(Fetching|Looking|Comparing|Asking|Waiting|Working)/ })
    .first()
    .waitFor({ state: "detached" });
  await scene.deed?.(page);
  await page.evaluate(() => {
    for (const details of document.querySelectorAll("details")) details.open = true;
  });
}
