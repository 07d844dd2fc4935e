import { useCallback, useLayoutEffect, useRef } from "preact/hooks";
import { useLocation } from "preact-iso/router";

/**
 * Goes on to another page once something is done. Whoever has left before the answer came stays where they went: a slow station must
 * not pull them away from an alarm.
 */
export function useGoOn(): (address: string, replace?: boolean) => void {
  const { route } = useLocation();
  const left = useRef(false);
  useLayoutEffect(() => {
    left.current = false;
    return () => {
      left.current = true;
    };
  }, []);
  return useCallback(
    (address, replace = false) => {
      if (!left.current) route(address, replace);
    },
    [route],
  );
}
