import { useState } from "preact/hooks";
import type { Run } from "../../../../station/model/run.js";
import type { TrialNow } from "../../../../station/model/specimen.js";
import { asEntered } from "../../words/number.js";
import { WhyPanel } from "../plan/why-panel.js";
import { LastCut } from "./last-cut.js";

type Specimen = NonNullable<TrialNow["specimen"]>;

/** What is set on the machine, and beside it what changes less often. */
function Setting({ setting }: Pick<Specimen, "setting">) {
  const { speed_mm_s, power_pct, passes, air_assist, focus_spacer_mm } = setting;
  const more = [
    passes === 1 ? "1 pass" : `${passes} passes`,
    ...(air_assist === undefined ? [] : [`air ${air_assist}`]),
    ...(focus_spacer_mm === undefined ? [] : [`spacer ${asEntered(focus_spacer_mm)}\u00a0mm`]),
  ];
  return (
    <>
      <p class="next-setting">
        {asEntered(speed_mm_s)}&nbsp;mm/s <span class="next-power">{asEntered(power_pct)}&nbsp;%</span>
      </p>
      <p class="next-more">{more.join(", ")}</p>
    </>
  );
}

/** The specimen that is next, to be read from two metres. */
export function CutNext({ trial, specimen, run }: { trial: TrialNow; specimen: Specimen; run: Run | null }) {
  const [skipping, setSkipping] = useState(false);
  const { code, lotName, setting, replaces } = specimen;
  const its = run?.settings.specimen === code;
  // Its run has ended on this page, and the station's word of what is next is on its way.
  const ended = run === null && trial.cutting === code;
  return (
    <div class="need need-cut" data-testid="need-cut">
      <header>
        <h2>{its ? "Being cut" : ended ? "Just cut" : "Cut next"}</h2>
        <p class="soft">
          {trial.place} of {trial.of}
        </p>
        {!its && !ended && (
          <button
            type="button"
            class="button button-small"
            data-testid="skip"
            onClick={() => setSkipping(true)}
          >
            Skip
          </button>
        )}
      </header>
      <p class="next-code code" data-testid="next-code">
        {code}
      </p>
      <p class="next-lot">{lotName}</p>
      {ended ? <p role="status">What is next comes in a moment.</p> : <Setting setting={setting} />}
      {replaces !== null && <p class="soft">In the place of {replaces}.</p>}
      {run !== null && !its && (
        <p class="otherwise" role="status">
          The run that is open is{" "}
          {run.settings.specimen === undefined ? "no specimen’s" : run.settings.specimen}: end it before this
          piece is cut.
        </p>
      )}
      <LastCut last={trial.last} open={run !== null || ended} blind={trial.plan.blind} />
      {skipping && (
        <WhyPanel code={code} step="skipped" close={() => setSkipping(false)} done={() => undefined} />
      )}
    </div>
  );
}
