import type { ThermometerView } from "../../../station/model/calibration-view.js";
import type { Doing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { Wide } from "../marks/wide.js";

interface Props {
  readonly thermometer: ThermometerView;
  readonly doing: Doing;
  readonly show: () => void;
}

/** What both baths give: how good the calibrated probe is, or what is still missing. */
export function CalibrationGiven({ thermometer, doing, show }: Props) {
  const { gives, faults, taken } = thermometer;
  const both = faults.filter(({ point }) => point === "both");
  return (
    <section class="card calibrate" aria-labelledby="given-title" data-testid="calibration-given">
      <h2 id="given-title">3. What it gives</h2>
      {both.map(({ expected }) => (
        <p key={expected} class="field-expected">
          Expected: {expected}
        </p>
      ))}
      {gives === null ? (
        <p>
          {taken.low !== null && taken.high !== null
            ? "These two do not go together: take one of them again."
            : "Nothing yet: both baths are wanted."}
        </p>
      ) : (
        <>
          <Wide name="How good the calibrated probe is" look="wide-table">
            <table class="table">
              <thead>
                <tr>
                  <th scope="col">It reads</th>
                  <th scope="col">Good to (95 %)</th>
                </tr>
              </thead>
              <tbody>
                {gives.map(({ reads, expanded }) => (
                  <tr key={reads}>
                    <td>{reads.toFixed(1).replace("-", "−")} °C</td>
                    <td>± {expanded.toFixed(2)} °C</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Wide>
          <p class="soft">
            At the two baths and at the ends of the coolant's range: what the baths, the thermometer and the
            steps of the probe leave open, k = 2. It does not say how the probe ages, nor how well it sits in
            the water.
          </p>
          <RefusalText refusal={doing.refusal} />
          <button
            type="button"
            class="button button-main"
            data-testid="calibration-show"
            aria-disabled={doing.busy}
            onClick={show}
          >
            Show what is written
          </button>
        </>
      )}
    </section>
  );
}
