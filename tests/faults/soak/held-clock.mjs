/**
 * Loaded into a station before it starts, in each of its threads: time is what the test says. Timers, `Date`, `performance.now` and the
 * monotonic clock go by a clock that stands still while anything of the station is at work (a file that is read, a commit, a mail on
 * its way), and else leaps to whatever is due next. So a commit takes no simulated time, and a month passes in minutes.
 * Not held: what node itself waits for inside (sockets, processes).
 */
import childProcess from "node:child_process";
import fs from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import { isatty } from "node:tty";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import workers from "node:worker_threads";
import { setTimers, timerHeap } from "./held-timers.mjs";
import { filesInHand, waiting } from "./held-waiting.mjs";

const { isMainThread } = workers;
/** Threads that there may be at once. */
const SLOTS = 48;
/** Where in the shared memory: the clock, what the wall clock is ahead of it, and what is due next in each thread. */
const [MONO, AHEAD, DUE] = [0, 1, 2];
const BOOT_ID = "/proc/sys/kernel/random/boot_id";
const TIMESYNC_MARK = "/run/systemd/timesync/synchronized";
/** A server that takes a message and does not answer holds the clock for so long and no longer; real milliseconds. */
const ANSWER_MS = 400;
const BYTES_MS = 2_000;
const START_MS = 5_000;
/** What hangs is not waited for for ever. */
const FILES_MS = 5_000;
const THREAD_MS = 120_000;

const inMain = isMainThread && process.send !== undefined && process.env.HELD_CLOCK !== undefined;
const thread = isMainThread ? undefined : workers.workerData?.held;
if (inMain || thread !== undefined) hold();

function hold() {
  const real = {
    setImmediate,
    setTimeout,
    clearTimeout,
    performanceNow: performance.now.bind(performance),
    Date,
  };
  const turn = () => new Promise((resolve) => real.setImmediate(resolve));
  const shared = inMain ? new SharedArrayBuffer((DUE + SLOTS) * 8) : thread.shared;
  const times = new Float64Array(shared);
  const { poke, waitFor } = waiting(real);
  const files = filesInHand(poke);

  /** While a timer that is overdue runs in a thread, it is its own time there. */
  let own = null;
  const mono = () => own ?? times[MONO];
  const heap = timerHeap();

  setTimers(heap, mono);
  setClocks();
  if (inMain) inTheMainThread();
  else inAThread();

  function nextDue() {
    return heap.first()?.due ?? Number.POSITIVE_INFINITY;
  }

  /** Runs all that is due by now, with the promises that hang on each. */
  async function runDue() {
    for (let timer = heap.first(); timer !== null && timer.due <= times[MONO]; timer = heap.first()) {
      own = isMainThread ? null : timer.due;
      heap.drop();
      if (timer.every !== null) heap.add(timer, timer.due + timer.every);
      timer.act();
      if (!isMainThread) await turn();
    }
    own = null;
  }

  function inAThread() {
    const { port, slot } = thread;
    const tell = () => {
      times[DUE + slot] = nextDue();
    };
    heap.changed = tell;
    let asked = 0;
    let busy = false;
    port.on("message", async (question) => {
      asked = question;
      if (busy) return;
      busy = true;
      for (let answered = -1; answered !== asked; port.postMessage(answered)) {
        answered = asked;
        // What was posted before the question is carried out first.
        await turn();
        do {
          await runDue();
          await waitFor(() => files.none(), FILES_MS);
          await turn();
        } while (!files.none() || nextDue() <= times[MONO]);
        tell();
      }
      busy = false;
    });
    port.unref();
    tell();
  }

  function inTheMainThread() {
    const told = JSON.parse(process.env.HELD_CLOCK);
    delete process.env.HELD_CLOCK;
    times.fill(Number.POSITIVE_INFINITY);
    times[MONO] = told.mono;
    times[AHEAD] = told.wall - told.mono;
    let synchronised = told.synchronised;
    let bytesRead = 0;
    let bytesWanted = 0;
    let heldUp = 0;
    /** By their places. `touched`: something was posted to it, or is due in it, since it last was at rest. */
    const threads = new Map();
    /** Messages that a server has been given and has not answered for. */
    const sending = new Set();

    workers.Worker = class extends workers.Worker {
      #held;
      constructor(url, options = {}) {
        const slot = freeSlot();
        const { port1: port, port2 } = new workers.MessageChannel();
        super(url, {
          ...options,
          workerData: { held: { port: port2, shared, slot } },
          transferList: [port2],
        });
        const held = { slot, port, touched: true, asked: 0, answered: 0, spoken: false, owes: false };
        this.#held = held;
        threads.set(slot, held);
        port.on("message", (answered) => {
          held.answered = answered;
          poke();
        });
        port.unref();
        this.once("exit", () => {
          threads.delete(slot);
          times[DUE + slot] = Number.POSITIVE_INFINITY;
          for (const each of sending) if (each.startsWith(`${slot}:`)) sending.delete(each);
          poke();
        });
        this.on("message", (message) => {
          held.spoken = true;
          const number = message?.notice?.number;
          if (number !== undefined) sending.delete(`${slot}:${number}`);
          poke();
        });
      }
      postMessage(message, ...more) {
        const held = this.#held;
        // A sign of life is asked for at every turn, and hangs on nothing.
        if (message !== "ping") held.touched = held.owes = true;
        if (message?.name === "send") sending.add(`${held.slot}:${message.params.number}`);
        super.postMessage(message, ...more);
      }
    };
    function freeSlot() {
      for (let slot = 0; slot < SLOTS; slot += 1) if (!threads.has(slot)) return slot;
      throw new Error("more threads than the held clock has room for");
    }

    const { read, readFileSync } = fs;
    fs.read = Object.defineProperties((fd, ...rest) => {
      const answer = rest.at(-1);
      if (typeof answer !== "function" || !isatty(fd)) return read(fd, ...rest);
      return read(fd, ...rest.slice(0, -1), (error, bytes, buffer) => {
        bytesRead += bytes ?? 0;
        answer(error, bytes, buffer);
        poke();
      });
    }, Object.getOwnPropertyDescriptors(read));
    fs.readFileSync = (path, ...rest) => (path === BOOT_ID ? `${told.boot}\n` : readFileSync(path, ...rest));
    const { access } = fs.promises;
    fs.promises.access = async (path, ...rest) => {
      if (path !== TIMESYNC_MARK) return access(path, ...rest);
      if (!synchronised) throw Object.assign(new Error("ENOENT: the clock is not set"), { code: "ENOENT" });
    };
    const { execFile } = childProcess;
    childProcess.execFile = Object.defineProperties((file, ...rest) => {
      if (file !== "timedatectl") return execFile(file, ...rest);
      real.setImmediate(rest.at(-1), null, synchronised ? "yes\n" : "no\n", "");
    }, Object.getOwnPropertyDescriptors(execFile));
    syncBuiltinESMExports();

    const restless = () =>
      [...threads.values()].filter((held) => held.touched || times[DUE + held.slot] <= times[MONO]);
    /** Until each of them has done what it was given, or waits for a moment to come. */
    async function ask(some) {
      for (const held of some) {
        held.touched = false;
        held.asked += 1;
        held.port.postMessage(held.asked);
      }
      await waitFor(
        () => some.every((held) => held.answered === held.asked || !threads.has(held.slot)),
        THREAD_MS,
      );
    }
    /** A thread that was asked for something and has not said a word is still being started. */
    const starting = () => [...threads.values()].some((held) => held.owes && !held.spoken);

    async function settle() {
      for (;;) {
        await turn();
        await waitFor(() => files.none(), FILES_MS);
        if (bytesRead < bytesWanted && !(await waitFor(() => bytesRead >= bytesWanted, BYTES_MS))) {
          heldUp += 1;
          bytesWanted = bytesRead;
        }
        const some = restless();
        if (some.length > 0) await ask(some);
        if (starting() && !(await waitFor(() => !starting(), START_MS)))
          for (const held of threads.values()) held.spoken = true;
        if (sending.size > 0 && !(await waitFor(() => sending.size === 0, ANSWER_MS))) sending.clear();
        if (some.length === 0 && files.none() && restless().length === 0) return;
      }
    }
    function dueInThreads() {
      let first = Number.POSITIVE_INFINITY;
      for (const slot of threads.keys()) if (times[DUE + slot] < first) first = times[DUE + slot];
      return first;
    }
    async function goTo(end) {
      for (;;) {
        await settle();
        const due = Math.min(nextDue(), dueInThreads());
        if (due > end) break;
        times[MONO] = Math.max(times[MONO], due);
        await runDue();
      }
      times[MONO] = Math.max(times[MONO], end);
      await settle();
    }

    const collect = collector();
    process.on("message", async (order) => {
      if (order.wall !== undefined) times[AHEAD] = order.wall - times[MONO];
      if (order.synchronised !== undefined) synchronised = order.synchronised;
      if (order.bytes !== undefined) bytesWanted = order.bytes;
      if (order.to !== undefined) await goTo(order.to);
      const measured = order.measure === true ? await measure() : undefined;
      process.send({ mono: times[MONO], bytesRead, heldUp, measured });
    });

    async function measure() {
      collect();
      await turn();
      collect();
      const { heapUsed, external, rss } = process.memoryUsage();
      const handles = process.getActiveResourcesInfo().length;
      const open = fs.readdirSync("/proc/self/fd").length;
      return { heapUsed, external, rss, handles, files: open, threads: threads.size, timers: heap.size() };
    }
  }

  function setClocks() {
    const wall = () => mono() + times[AHEAD];
    globalThis.Date = new Proxy(real.Date, {
      construct: (target, args, made) =>
        Reflect.construct(
          target,
          args.length === 0 ? [wall()] : args,
          made === globalThis.Date ? target : made,
        ),
      get: (target, name) => (name === "now" ? wall : Reflect.get(target, name)),
    });
    Object.defineProperty(performance, "now", { value: mono, configurable: true, writable: true });
    process.hrtime.bigint = () => BigInt(Math.round(mono() * 1e6));
  }
}

function collector() {
  setFlagsFromString("--expose_gc");
  return runInNewContext("gc");
}
