import { AppError } from "../errors.js";
import type { Priority } from "../model/alarm.js";
import type { Post } from "./post.js";

/** Why something cannot be done to an alarm, in words for whoever wanted to. */

type Refused = Pick<Post, "definition" | "memory">;

export function refusalToAcknowledge({ definition: { title }, memory: { state } }: Refused): AppError {
  return state === "acknowledged" || state === "latched-acknowledged"
    ? new AppError(
        "alarm-already-acknowledged",
        `"${title}" has been acknowledged already. There is nothing to do.`,
      )
    : new AppError("alarm-not-standing", `"${title}" is not standing. There is nothing to do.`);
}

export function refusalToReset({ definition: { title }, memory: { state } }: Refused): AppError {
  const words = () => {
    switch (state) {
      case "latched-unacknowledged":
        return `Acknowledge "${title}" first, then reset it.`;
      case "unacknowledged":
      case "acknowledged":
        return `What "${title}" is for is still there. It can be reset once that has gone.`;
      default:
        return `"${title}" is not held. There is nothing to reset.`;
    }
  };
  return new AppError("alarm-not-latched", words());
}

export const refusals = {
  tooLong: (title: string, priority: Priority, most: number) =>
    new AppError(
      "request-invalid",
      `"${title}" can be shelved for ${most} minutes at the most, because its priority is ${priority}.`,
      [{ path: "minutes", expected: `more than 0 and at most ${most}` }],
    ),
  shelve: ({ definition: { title }, memory: { state } }: Refused) =>
    state === "shelved"
      ? new AppError(
          "alarm-shelved",
          `"${title}" is on the shelf already. Take it off first to shelve it anew.`,
        )
      : new AppError("alarm-out-of-service", `"${title}" is out of service: it says nothing in any case.`),
  unshelve: ({ definition: { title } }: Refused) =>
    new AppError("alarm-not-shelved", `"${title}" is not on the shelf. There is nothing to do.`),
  outOfService: ({ definition: { title } }: Refused) =>
    new AppError("alarm-out-of-service", `"${title}" is out of service already. There is nothing to do.`),
  inService: ({ definition: { title } }: Refused) =>
    new AppError("alarm-in-service", `"${title}" is in service. There is nothing to do.`),
};
