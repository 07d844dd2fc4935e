/** When readings that were gathered have waited long enough for others. */
export interface Due {
  /** They have, since `start`. */
  readonly reached: boolean;
  /** The first of them has come; one that was started goes on. */
  start(): void;
  /** None waits any more. */
  stop(): void;
}

/** @param onDue once, that many milliseconds after `start` */
export function createDue(afterMs: number, onDue: () => void): Due {
  let timer: NodeJS.Timeout | null = null;
  let due = false;
  return {
    get reached() {
      return due;
    },
    start() {
      timer ??= setTimeout(() => {
        due = true;
        onDue();
      }, afterMs);
    },
    stop() {
      if (timer !== null) clearTimeout(timer);
      timer = null;
      due = false;
    },
  };
}
