import { clamped, type Span } from "./span.js";

/** More would be more lines than can be told apart, and more questions than the station should be asked at once. */
export const MOST_CHANNELS = 6;

/** What an address asks for; null where it says nothing, or nothing that can be understood. */
export interface Wanted {
  readonly span: Span | null;
  readonly channels: readonly string[] | null;
}

function instant(text: string | undefined): number | null {
  const at = text === undefined ? Number.NaN : Date.parse(text);
  return Number.isNaN(at) ? null : at;
}

/** Reads `from` and `to` (ISO 8601) and `channels` (ids with commas) from the query of an address. */
export function wantedBy(query: Readonly<Record<string, string>>): Wanted {
  const from = instant(query.from);
  const to = instant(query.to);
  const ids = [...new Set((query.channels ?? "").split(",").filter((id) => id !== ""))];
  return {
    span: from !== null && to !== null && from < to ? clamped({ from, to }) : null,
    channels: ids.length === 0 ? null : ids.slice(0, MOST_CHANNELS),
  };
}

/** The address that shows the same again, here or on another screen. */
export function addressOf({ from, to }: Span, channels: readonly string[]): string {
  const iso = (wall: number) => new Date(wall).toISOString();
  // Colons and commas may stand in a query as they are (RFC 3986, section 3.4).
  return `/history?from=${iso(from)}&to=${iso(to)}&channels=${channels.map(encodeURIComponent).join(",")}`;
}
