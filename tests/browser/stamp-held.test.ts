import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import type { PlacedRun } from "../../station/model/run.js";
import { onFilledStation } from "./on-filled-station.js";
import { lookAtThreeSizes } from "./three-sizes.js";

let page: Page;
const rig = onFilledStation((opened) => {
  page = opened;
});

it("a stamp that was frozen while its readings were held says so on the page of its run, and no other does", async () => {
  const address = `${rig.station.url}/runs/${rig.facts.run}`;
  await page.goto(address);
  await page.getByTestId("stamp-table").waitFor();
  expect(await page.getByTestId("stamp-held").count()).toBe(0);
  await page.route(`**/api/runs/${rig.facts.run}`, async (route) => {
    const answer = await route.fetch();
    const run = (await answer.json()) as PlacedRun;
    await route.fulfill({ response: answer, json: { ...run, stamp: { ...run.stamp, readingsHeld: true } } });
  });
  await page.goto(address);
  await page.getByTestId("stamp-held").getByText("The disk was full when this run ended.").waitFor();
  await lookAtThreeSizes(page, "stamp-held");
});
