import { existsSync } from "node:fs";
import { type Browser, chromium } from "playwright-core";

const PLACES = ["/usr/bin/chromium", "/usr/bin/chromium-browser"];

/** Debian's Chromium, without a window, asking nothing of any network but this machine. */
export function openBrowser(more: readonly string[] = []): Promise<Browser> {
  const executablePath = PLACES.find((place) => existsSync(place));
  if (executablePath === undefined) {
    throw new Error(`No Chromium at ${PLACES.join(" or ")}: install Debian's package chromium.`);
  }
  return chromium.launch({
    executablePath,
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      ...more,
    ],
  });
}
