import type { RefObject } from "preact";
import { useLayoutEffect, useState } from "preact/hooks";

/** Width of an element in whole pixels, kept up with; 0 until it is known. */
export function useWidth(place: RefObject<HTMLElement | null>): number {
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const element = place.current;
    if (element === null) return;
    const look = () => setWidth(Math.floor(element.clientWidth));
    look();
    const observer = new ResizeObserver(look);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return width;
}
