import type { Way } from "../model/notice.js";
import type { OutwardEntry } from "./entry.js";

/** Whom or what a way reaches, for the page: nothing secret, and no whole mail address. Empty where it is not set up. */
export function reachOf(way: Way, { mail, mqtt, webhook }: OutwardEntry): string {
  if (way === "mail" && mail !== undefined)
    return `${mail.to.map(shortened).join(", ")} through ${mail.host}`;
  if (way === "mqtt" && mqtt !== undefined) return `topics below ${mqtt.topic} at ${hostOf(mqtt.url)}`;
  if (way === "webhook" && webhook !== undefined) return hostOf(webhook.url);
  return "";
}

/** The host of an address: what is behind it may be a key. */
export function hostOf(url: string): string {
  return URL.canParse(url) ? new URL(url).host : "";
}

/** "o…@example.org" */
function shortened(address: string): string {
  return address.replace(/^(.)[^@]*@/, "$1…@");
}
