import type { RefObject } from "preact";
import { useEffect } from "preact/hooks";

/**
 * Opens a dialog over the page for as long as it is there. It is closed before it goes: a browser gives the keyboard back
 * to what opened it only then.
 */
export function useModal(panel: RefObject<HTMLDialogElement | null>): void {
  useEffect(() => {
    const dialog = panel.current;
    if (dialog === null) return;
    dialog.showModal();
    return () => dialog.close();
  }, []);
}
