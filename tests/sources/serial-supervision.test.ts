import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { createSerial } from "../../station/sources/serial/device.js";
import { serialEntrySchema } from "../../station/sources/serial/entry.js";
import { sealFrame } from "../../station/sources/serial/frame.js";
import type { Port, PortListener } from "../../station/sources/serial/port.js";
import {
  BACK_OFF,
  backOffMs,
  CLOSED,
  dueAt,
  type Supervision,
  type SupervisionEvent,
  step,
  troubleOfOpening,
} from "../../station/sources/serial/supervision.js";
import { Witness } from "./witness.js";

const times = { ...BACK_OFF, silentAfterMs: 5000 };

describe("what follows from what", () => {
  test("the pauses double from 0.5 s to 10 s", () => {
    expect([1, 2, 3, 4, 5, 6, 7].map((failures) => backOffMs(failures, times))).toEqual([
      500, 1000, 2000, 4000, 8000, 10_000, 10_000,
    ]);
  });

  test.each([
    ["Error: No such file or directory, cannot open /dev/x", "missing"],
    ["Error: Permission denied, cannot open /dev/x", "no-permission"],
    ["Error: Error Resource temporarily unavailable Cannot lock port", "busy"],
    ["EBUSY: resource busy or locked", "busy"],
    ["Error: Input/output error", "read-error"],
  ])("%s means %s", (message, reason) => {
    expect(troubleOfOpening("/dev/x", message)).toMatchObject({
      reason,
      detail: expect.stringContaining("/dev/x"),
    });
  });

  const trouble = { reason: "missing", detail: "gone" } as const;
  const anyEvent: fc.Arbitrary<SupervisionEvent> = fc.oneof(
    fc
      .constantFrom("start", "stop", "opened", "frame", "noise", "released", "due")
      .map((event) => ({ event }) as SupervisionEvent),
    fc.constantFrom("open-failed", "lost").map((event) => ({ event, trouble }) as SupervisionEvent),
  );

  test("whatever happens, a port is opened only when none is held, and released only when one is", () => {
    const happenings = fc.array(fc.tuple(anyEvent, fc.integer({ min: 0, max: 20_000 })), { maxLength: 60 });
    fc.assert(
      fc.property(happenings, (events) => {
        let now: Supervision = CLOSED;
        let mono = 0;
        // A port is held from "open" to "released"; the shell says "released" only after it was told to release.
        let held = false;
        let releasing = false;
        for (const [event, pause] of events) {
          if (event.event === "released" && !releasing) continue;
          if (event.event === "start" && releasing) continue;
          mono += pause;
          if (event.event === "released") {
            held = false;
            releasing = false;
          }
          const { next, action } = step(now, event, mono, times);
          if (action === "open") {
            expect(held).toBe(false);
            held = true;
          }
          if (action === "release") releasing = held;
          const due = dueAt(next, times);
          if (next.state === "closed") expect(due).toBeNull();
          else if (!releasing) expect(due).not.toBeNull();
          now = next;
        }
      }),
    );
  });

  test("a good frame ends the row of failures", () => {
    const open: Supervision = { state: "open", heardAt: 0, failures: 4, noise: true, before: trouble };
    expect(step(open, { event: "frame" }, 7, times).next).toEqual({
      state: "open",
      heardAt: 7,
      failures: 0,
      noise: false,
      before: null,
    });
  });
});

/** Ports that do what the test says, and remember in which order things were done. */
class FakePorts {
  readonly done: string[] = [];
  listener: PortListener | null = null;
  open: () => Promise<void> = async () => {};
  close: () => Promise<void> = async () => {};
  made = 0;

  readonly factory = (listener: PortListener): Port => {
    this.made += 1;
    const number = this.made;
    this.listener = listener;
    this.done.push(`made ${number}`);
    return {
      open: () => this.open(),
      close: async () => {
        await this.close();
        this.done.push(`closed ${number}`);
      },
    };
  };
}

describe("the supervisor", () => {
  const clock = {
    now: () => ({ wall: Date.now(), mono: Date.now() }),
    bootId: "test",
    state: () => "synchronised" as const,
  };
  const entry = serialEntrySchema.parse({
    id: "board",
    driver: "serial",
    path: "/dev/serial/by-id/usb-board",
  });
  let ports: FakePorts;
  let witness: Witness;

  beforeEach(() => {
    vi.useFakeTimers({ now: 1_000_000 });
    ports = new FakePorts();
    witness = new Witness();
  });
  afterEach(() => {
    vi.useRealTimers();
  });

  const create = () => createSerial(entry, { clock, ports: ports.factory });
  const bytes = (text: string) => new TextEncoder().encode(text);

  test("waits for the old port to be closed before it makes a new one", async () => {
    let letClose = () => {};
    ports.close = () =>
      new Promise((resolve) => {
        letClose = resolve;
      });
    const source = create();
    source.start(witness);
    await vi.advanceTimersByTimeAsync(0);
    ports.listener?.closed(new Error("bad file descriptor"));
    await vi.advanceTimersByTimeAsync(60_000);
    expect(ports.done).toEqual(["made 1"]);
    expect(source.status()).toMatchObject({ state: "backing-off", reason: "unplugged" });
    letClose();
    await vi.advanceTimersByTimeAsync(0);
    expect(ports.done).toEqual(["made 1", "closed 1", "made 2"]);
    ports.close = async () => {};
    await source.stop();
  });

  test("never has more than one timer, and none after stop", async () => {
    const source = create();
    const most = () => expect(vi.getTimerCount()).toBeLessThanOrEqual(1);
    source.start(witness);
    most();
    await vi.advanceTimersByTimeAsync(0);
    for (let i = 0; i < 20; i += 1) {
      ports.listener?.data(bytes(sealFrame('[{"n":"a","u":"Cel","v":1}]')));
      most();
      await vi.advanceTimersByTimeAsync(700 * i);
      most();
    }
    await source.stop();
    expect(vi.getTimerCount()).toBe(0);
    expect(source.status().state).toBe("closed");
  });

  test("an open port that says nothing goes silent after 5 s, is closed after 5 s more, and pauses longer each time", async () => {
    const source = create();
    source.start(witness);
    await vi.advanceTimersByTimeAsync(4999);
    expect(source.status().state).toBe("open");
    await vi.advanceTimersByTimeAsync(1);
    expect(source.status()).toMatchObject({ state: "silent", reason: "silent" });
    await vi.advanceTimersByTimeAsync(5000);
    expect(source.status().state).toBe("backing-off");
    await vi.advanceTimersByTimeAsync(499);
    expect(ports.made).toBe(1);
    await vi.advanceTimersByTimeAsync(1);
    expect(ports.made).toBe(2);
    await vi.advanceTimersByTimeAsync(10_000);
    expect(source.status().state).toBe("backing-off");
    await vi.advanceTimersByTimeAsync(999);
    expect(ports.made).toBe(2);
    await vi.advanceTimersByTimeAsync(1);
    expect(ports.made).toBe(3);
    await source.stop();
  });

  test("no permission has its own words, and nothing of an old port is heard any more", async () => {
    ports.open = async () => {
      throw new Error("Error: Permission denied, cannot open /dev/serial/by-id/usb-board");
    };
    const source = create();
    source.start(witness);
    await vi.advanceTimersByTimeAsync(0);
    expect(source.status()).toMatchObject({
      reason: "no-permission",
      detail: expect.stringContaining("dialout"),
    });
    const old = ports.listener;
    ports.open = async () => {};
    await vi.advanceTimersByTimeAsync(500);
    expect(source.status().state).toBe("open");
    old?.data(bytes(sealFrame('[{"n":"a","u":"Cel","v":1}]')));
    old?.closed(null);
    expect(witness.readings).toEqual([]);
    expect(source.status().state).toBe("open");
    await source.stop();
  });

  test.each([
    ["Error: No such file or directory, cannot open /dev/x", "missing"],
    ["Error: Permission denied, cannot open /dev/x", "no-permission"],
    ["Error: Error Resource temporarily unavailable Cannot lock port", "busy"],
  ])(
    "a board never heard has no points to mark, so the status says why at every moment: %s",
    async (message, reason) => {
      ports.open = async () => {
        throw new Error(message);
      };
      const source = create();
      source.start(witness);
      await vi.advanceTimersByTimeAsync(0);
      for (let second = 0; second < 30; second += 1) {
        expect(source.status()).toMatchObject({ reason, detail: expect.any(String) });
        await vi.advanceTimersByTimeAsync(1000);
      }
      expect(witness.readings).toEqual([]);
      expect(witness.statuses.at(-1)).toMatchObject({ reason });
      await source.stop();
    },
  );

  test("a port that does not close well is given up all the same", async () => {
    const make = ports.factory;
    const source = createSerial(entry, {
      clock,
      ports: (listener) => ({ ...make(listener), close: async () => Promise.reject(new Error("EIO")) }),
    });
    source.start(witness);
    await vi.advanceTimersByTimeAsync(0);
    await source.stop();
    expect(source.status().state).toBe("closed");
  });

  test("a port that cannot even be made is a failure like any other", async () => {
    const source = createSerial(entry, {
      clock,
      ports: () => {
        throw new TypeError("the baud rate is none");
      },
    });
    source.start(witness);
    await vi.advanceTimersByTimeAsync(0);
    expect(source.status()).toMatchObject({ state: "backing-off", reason: "read-error" });
    await source.stop();
  });

  test("stop while a port is still opening closes it once it has opened", async () => {
    let letOpen = () => {};
    ports.open = () =>
      new Promise((resolve) => {
        letOpen = resolve;
      });
    const source = create();
    source.start(witness);
    await vi.advanceTimersByTimeAsync(0);
    const stopped = source.stop();
    letOpen();
    await stopped;
    expect(ports.done).toEqual(["made 1", "closed 1"]);
    expect(source.status().state).toBe("closed");
  });
});
