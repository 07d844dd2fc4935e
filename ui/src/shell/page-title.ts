import { useEffect } from "preact/hooks";
import { now } from "../link/live.js";

/** Names the browser's tab after the page and the station. */
export function usePageTitle(page: string): void {
  const station = now.value?.stationName ?? "Workshop station";
  useEffect(() => {
    document.title = `${page} – ${station}`;
  }, [page, station]);
}
