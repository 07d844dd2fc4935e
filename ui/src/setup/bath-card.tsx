import type { ComponentChildren } from "preact";
import type { Bath, ProbeNow, TakenPoint, ThermometerView } from "../../../station/model/calibration-view.js";
import type { Doing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";

interface Props {
  readonly bath: Bath;
  readonly title: string;
  readonly thermometer: ThermometerView;
  readonly doing: Doing;
  readonly take: () => void;
  readonly forget: () => void;
  /** What to do, and what to type. */
  readonly children: ComponentChildren;
}

const degrees = (value: number, decimals = 2) => `${value.toFixed(decimals).replace("-", "−")}\u00a0°C`;

export function probeWords(now: ProbeNow): string {
  switch (now.state) {
    case "silent":
      return "The probe says nothing now. See that it is plugged in.";
    case "waiting":
      return `It says ${degrees(now.said)}. Leave it in the bath: ${now.secondsToGo} s to go.`;
    case "moving":
      return `It says ${degrees(now.said)}, and still moves. Stir, and wait.`;
    case "steady":
      return `It says ${degrees(now.said)}, and rests.`;
  }
}

function TakenText({ point }: { point: TakenPoint }) {
  return (
    <p>
      Taken: it said <strong>{degrees(point.said)}</strong> where it was{" "}
      <strong>{degrees(point.truth)}</strong>.
    </p>
  );
}

/** One bath: what to do, how the probe does in it, and the button that takes the point. */
export function BathCard({ bath, title, thermometer, doing, take, forget, children }: Props) {
  const taken = thermometer.taken[bath];
  const faults = thermometer.faults.filter(({ point }) => point === bath);
  return (
    <section class="card calibrate" aria-labelledby={`bath-${bath}`} data-testid={`bath-${bath}`}>
      <h2 id={`bath-${bath}`}>{title}</h2>
      {taken === null ? (
        <>
          {children}
          <p
            class="setup-touch"
            role="status"
            data-state={thermometer.now.state}
            data-testid={`probe-${bath}`}
          >
            {probeWords(thermometer.now)}
          </p>
          <RefusalText refusal={doing.refusal} />
          <div class="form-keys">
            <button
              type="button"
              class="button button-main"
              data-testid={`take-${bath}`}
              aria-disabled={doing.busy}
              onClick={take}
            >
              Take it
            </button>
          </div>
        </>
      ) : (
        <>
          <TakenText point={taken} />
          {faults.map(({ expected }) => (
            <p key={expected} class="field-expected">
              Expected: {expected}
            </p>
          ))}
          <button
            type="button"
            class="button"
            data-testid={`forget-${bath}`}
            aria-disabled={doing.busy}
            onClick={forget}
          >
            Take it again
          </button>
        </>
      )}
    </section>
  );
}
