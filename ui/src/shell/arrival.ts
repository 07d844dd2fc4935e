import type { RefObject } from "preact";
import { useEffect, useRef } from "preact/hooks";

/**
 * On another page the keyboard, and what reads the screen aloud, begin at its heading; where it has none yet, at the top of
 * the page. The first page begins where the browser begins.
 */
export function useArrival(page: string, main: RefObject<HTMLElement | null>): void {
  const before = useRef(page);
  useEffect(() => {
    main.current?.scrollTo(0, 0);
    if (before.current === page) return;
    before.current = page;
    // A page may have given it to what is typed in there.
    const at = document.activeElement;
    if (main.current?.contains(at) && !at?.matches("main, a, button, h1")) return;
    const heading = main.current?.querySelector<HTMLElement>("h1");
    if (heading) heading.tabIndex = -1;
    (heading ?? main.current)?.focus({ preventScroll: true });
  }, [page]);
}
