import type { Bath, CalibrationView, Truth } from "../../../station/model/calibration-view.js";
import type {
  HeardBoard,
  RoleChange,
  SetupFile,
  SetupPreview,
  SetupValues,
  SetupView,
} from "../../../station/model/setup.js";
import { call } from "../link/ask.js";

export interface PickedLine {
  readonly chip: string;
  readonly line: number;
}

export type Pull = "pull-up" | "pull-down" | null;

/** What the page looks at beside what the station finds by itself. */
export interface LooksAt {
  readonly lines: readonly PickedLine[];
  readonly bias: Pull;
}

function wire({ lines, bias }: LooksAt): Record<string, string> {
  const text = lines.map(({ chip, line }) => `${chip}:${line}`).join(",");
  return { lines: text, ...(bias === null ? {} : { bias }) };
}

/** What the page Set up asks of the station. Each rejects with a `Refusal`. */
export const askSetup = {
  view: (at: LooksAt) => call<SetupView>("GET", `/setup?${new URLSearchParams(wire(at))}`),
  /** @param page a name of this page's own @param touch a name of this question's own; null where none is asked */
  values: (page: string, at: LooksAt, touch: string | null, signal: AbortSignal) =>
    call<SetupValues>(
      "GET",
      `/setup/values?${new URLSearchParams({ ...wire(at), page, ...(touch === null ? {} : { touch }) })}`,
      { signal },
    ),
  listen: (key: string) => call<HeardBoard>("POST", "/setup/listen", { body: { key } }),
  preview: (change: RoleChange, at: LooksAt, hash: string) =>
    call<SetupPreview>("POST", "/setup/preview", { body: { change, hash, ...wire(at) } }),
  write: (change: RoleChange, at: LooksAt, hash: string) =>
    call<SetupFile>("PUT", "/setup/file", { body: { change, hash, ...wire(at) } }),
  back: (hash: string) => call<SetupFile>("POST", "/setup/back", { body: { hash } }),
  thermometers: () => call<CalibrationView>("GET", "/setup/thermometers"),
  takePoint: (channel: string, bath: Bath, truth: Truth) =>
    call<CalibrationView>("PUT", "/setup/points", { body: { channel, bath, truth } }),
  forgetPoint: (channel: string, bath: Bath) =>
    call<CalibrationView>("POST", "/setup/points/forget", { body: { channel, bath } }),
  restart: () => call<object>("POST", "/setup/restart", { body: {} }),
};
