export interface Patience {
  /** Aborted when it has run out, or with the signal that was given. */
  readonly signal: AbortSignal;
  /** Whether it was the time that ran out. */
  ranOut(): boolean;
  /** Once there is nothing to wait for any more. */
  end(): void;
}

/**
 * Waits so long and no longer. By hand, because the phones of the first years that these pages are for know nothing of
 * AbortSignal.any.
 */
export function patience(withinMs: number, given?: AbortSignal): Patience {
  const controller = new AbortController();
  let late = false;
  const timer = setTimeout(() => {
    late = true;
    controller.abort();
  }, withinMs);
  const giveUp = () => controller.abort();
  if (given?.aborted) giveUp();
  given?.addEventListener("abort", giveUp);
  return {
    signal: controller.signal,
    ranOut: () => late,
    end() {
      clearTimeout(timer);
      given?.removeEventListener("abort", giveUp);
    },
  };
}
