import { type AlarmMemory, changed, type Stepped } from "./machine.js";

/**
 * What people do with an alarm, in the states of `machine.ts` (ISA-18.2 / IEC 62682, from memory):
 *
 * | from                     | acknowledge | reset | shelve | unshelve | out of service | in service |
 * | ------------------------ | ----------- | ----- | ------ | -------- | -------------- | ---------- |
 * | A normal                 | -           | -     | G      | -        | I              | -          |
 * | B unacknowledged         | C           | -     | G      | -        | I              | -          |
 * | C acknowledged           | -           | -     | G      | -        | I              | -          |
 * | D returned-unacknowledged | A          | -     | G      | -        | I              | -          |
 * | E latched-unacknowledged | F           | -     | G      | -        | I              | -          |
 * | F latched-acknowledged   | -           | A     | G      | -        | I              | -          |
 * | G shelved                | -           | -     | -      | A        | I              | -          |
 * | H suppressed-by-design   | -           | -     | G      | -        | I              | -          |
 * | I out-of-service         | -           | -     | -      | -        | -              | A          |
 *
 * From A the next step of the machine goes on to B at once where the condition is there. Where nothing is to be done the
 * transition is null.
 */

/** A person has seen the alarm. A delay under way goes on. */
export function acknowledge(memory: AlarmMemory, detail: string): Stepped {
  switch (memory.state) {
    case "unacknowledged":
      return goneOn(memory, changed(memory, "acknowledged", "acknowledged", detail));
    case "returned-unacknowledged":
      return goneOn(memory, changed(memory, "acknowledged", "normal", detail));
    case "latched-unacknowledged":
      return goneOn(memory, changed(memory, "acknowledged", "latched-acknowledged", detail));
    default:
      return { memory, transition: null };
  }
}

/** Lets a latch go, once the condition has gone and somebody has seen that it was there. */
export function reset(memory: AlarmMemory, detail: string): Stepped {
  if (memory.state !== "latched-acknowledged") return { memory, transition: null };
  return goneOn(memory, changed(memory, "reset", "normal", detail));
}

/** @param untilMono when the shelf ends by itself, `mono` milliseconds */
export function shelve(memory: AlarmMemory, untilMono: number, detail: string): Stepped {
  if (memory.state === "shelved" || memory.state === "out-of-service") return { memory, transition: null };
  const { memory: shelved, transition } = changed(memory, "shelved", "shelved", detail);
  return { memory: { ...shelved, shelvedUntil: untilMono }, transition };
}

export function unshelve(memory: AlarmMemory, detail: string): Stepped {
  if (memory.state !== "shelved") return { memory, transition: null };
  return changed(memory, "unshelved", "normal", detail);
}

export function takeOutOfService(memory: AlarmMemory, detail: string): Stepped {
  if (memory.state === "out-of-service") return { memory, transition: null };
  return changed(memory, "out-of-service", "out-of-service", detail);
}

export function putInService(memory: AlarmMemory, detail: string): Stepped {
  if (memory.state !== "out-of-service") return { memory, transition: null };
  return changed(memory, "in-service", "normal", detail);
}

/** With the delay that was under way. */
function goneOn({ pendingSince, unknownSince }: AlarmMemory, { memory, transition }: Stepped): Stepped {
  return { memory: { ...memory, pendingSince, unknownSince }, transition };
}
