/** Timers that go by a clock of the test's. */
import { syncBuiltinESMExports } from "node:module";
import timers from "node:timers";
import timersPromises from "node:timers/promises";
import { promisify } from "node:util";

/**
 * Puts timers of this heap in the place of those of the thread, also where libraries have them from.
 * @param mono what the clock says, milliseconds
 */
export function setTimers(heap, mono) {
  let ids = 0;
  const byId = new Map();
  class HeldTimer {
    constructor(act, ms, every) {
      ids += 1;
      this.id = ids;
      this.ms = Math.max(1, Math.trunc(Number(ms)) || 1);
      this.every = every ? this.ms : null;
      this.act = act;
      heap.add(this, mono() + this.ms);
    }
    ref() {
      return this;
    }
    unref() {
      return this;
    }
    hasRef() {
      return true;
    }
    refresh() {
      heap.add(this, mono() + this.ms);
      return this;
    }
    close() {
      heap.remove(this);
      return this;
    }
    [Symbol.toPrimitive]() {
      byId.set(this.id, this);
      return this.id;
    }
    [Symbol.dispose ?? Symbol()]() {
      this.close();
    }
  }
  const given = (act, args) => (args.length === 0 ? act : () => act(...args));
  const set = (act, ms, ...args) => new HeldTimer(given(act, args), ms, false);
  const setEvery = (act, ms, ...args) => new HeldTimer(given(act, args), ms, true);
  const { clearTimeout: realClear } = globalThis;
  const clear = (timer) => {
    if (timer instanceof HeldTimer) timer.close();
    else if (typeof timer === "number" || typeof timer === "string") {
      byId.get(Number(timer))?.close();
      byId.delete(Number(timer));
    } else realClear(timer);
  };
  const pause = (ms, value, { signal } = {}) =>
    new Promise((resolve, reject) => {
      if (signal?.aborted) return reject(abortError(signal));
      const timer = set(() => {
        signal?.removeEventListener("abort", broken);
        resolve(value);
      }, ms);
      const broken = () => {
        timer.close();
        reject(abortError(signal));
      };
      signal?.addEventListener("abort", broken, { once: true });
    });
  set[promisify.custom] = pause;
  const held = { setTimeout: set, setInterval: setEvery, clearTimeout: clear, clearInterval: clear };
  Object.assign(globalThis, held);
  Object.assign(timers, held);
  timersPromises.setTimeout = pause;
  AbortSignal.timeout = (ms) => {
    const controller = new AbortController();
    set(
      () => controller.abort(new DOMException("The operation was aborted due to timeout", "TimeoutError")),
      ms,
    );
    return controller.signal;
  };
  syncBuiltinESMExports();
}

function abortError(signal) {
  return Object.assign(new Error("The operation was aborted"), {
    name: "AbortError",
    code: "ABORT_ERR",
    cause: signal.reason,
  });
}

/** A binary heap of timers by when they are due, and among those by which was set first. */
export function timerHeap() {
  const all = [];
  let sequence = 0;
  const before = (a, b) => a.due < b.due || (a.due === b.due && a.sequence < b.sequence);
  const put = (timer, at) => {
    all[at] = timer;
    timer.at = at;
  };
  const up = (timer, from) => {
    let at = from;
    for (; at > 0; ) {
      const parent = (at - 1) >> 1;
      if (!before(timer, all[parent])) break;
      put(all[parent], at);
      at = parent;
    }
    put(timer, at);
  };
  const down = (timer, from) => {
    let at = from;
    for (;;) {
      let child = 2 * at + 1;
      if (child >= all.length) break;
      if (child + 1 < all.length && before(all[child + 1], all[child])) child += 1;
      if (!before(all[child], timer)) break;
      put(all[child], at);
      at = child;
    }
    put(timer, at);
  };
  const remove = (timer) => {
    const { at } = timer;
    if (at === undefined || at < 0) return;
    timer.at = -1;
    const last = all.pop();
    if (last === timer) return;
    if (at > 0 && before(last, all[(at - 1) >> 1])) up(last, at);
    else down(last, at);
  };
  return {
    /** Called when something may be due sooner. */
    changed: () => undefined,
    first: () => all[0] ?? null,
    size: () => all.length,
    add(timer, due) {
      remove(timer);
      timer.due = due;
      sequence += 1;
      timer.sequence = sequence;
      all.push(timer);
      up(timer, all.length - 1);
      this.changed();
    },
    drop() {
      remove(all[0]);
    },
    remove(timer) {
      remove(timer);
    },
  };
}
