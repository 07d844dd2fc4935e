import type { RefObject } from "preact";
import { useEffect, useState } from "preact/hooks";

/** Gives the keyboard back to where it was before a dialog, or to the page where that is gone, once the dialog is. */
export function useReturn(): void {
  // Asked for before anything is laid over it.
  const [before] = useState(() => document.activeElement);
  useEffect(
    () => () => {
      setTimeout(() => {
        if (document.activeElement !== document.body) return;
        const there =
          before?.isConnected && before !== document.body ? before : document.querySelector("main");
        if (there instanceof HTMLElement) there.focus({ preventScroll: true });
      });
    },
    [],
  );
}

/** Opens a dialog over the page for as long as it is there. */
export function useModal(panel: RefObject<HTMLDialogElement | null>): void {
  useReturn();
  useEffect(() => panel.current?.showModal(), []);
}
