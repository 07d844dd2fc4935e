import type { SpecimenRun, SpecimenView } from "../../../../station/model/specimen.js";
import { useDoing } from "../../link/asked.js";
import { FlagMark } from "../../marks/flag.js";
import { RefusalText } from "../../marks/refusal.js";
import { summaryOf } from "../../settings/draft.js";
import { askTrials } from "../ask-trials.js";
import { gradeList } from "./grade-words.js";
import { SpecimenActions } from "./specimen-actions.js";
import { StateMark } from "./state.js";

interface Props {
  readonly specimen: SpecimenView;
  readonly lotName: string;
  readonly next: boolean;
  readonly running: boolean;
  readonly changed: () => void;
}

/** A flag under which a cut is not fairly compared with the others; a simulated one is no such flag. */
function spoils({ flags }: SpecimenRun): boolean {
  return flags.some(({ flag }) => flag !== "simulated");
}

function RunWords({ run }: { run: SpecimenRun }) {
  return (
    <li>
      <a href={`/runs/${encodeURIComponent(run.id)}`}>Run {run.number}</a>
      {run.endWall === null && " (open)"}
      {run.flags.map(({ flag }) => (
        <FlagMark key={flag} flag={flag} />
      ))}
      {run.otherwise.map((each) => (
        <span key={each} class="otherwise">
          Cut otherwise: {each}.
        </span>
      ))}
    </li>
  );
}

function CutAgain({ specimen, changed }: Pick<Props, "specimen" | "changed">) {
  const { busy, refusal, attempt } = useDoing();
  return (
    <p class="offer">
      <span>Its conditions were not those of the others.</span>
      <button
        type="button"
        class="button"
        data-testid={`again-${specimen.code}`}
        aria-disabled={busy}
        onClick={async () => {
          if (await attempt(() => askTrials.again(specimen.code))) changed();
        }}
      >
        Cut again
      </button>
      <RefusalText refusal={refusal} />
    </p>
  );
}

/** A specimen with all that became of it. */
export function SpecimenLine({ specimen, lotName, next, running, changed }: Props) {
  const { code, place, state, why, runs, grades, twice, photos, replaces, replacedBy } = specimen;
  const given = gradeList(grades[0]);
  const second = gradeList(grades[1]).length;
  const offered = state === "cut" && replacedBy === null && runs.some(spoils);
  return (
    <li class={next ? "specimen specimen-next" : "specimen"} data-testid={`specimen-${code}`}>
      <span class="specimen-place">{place}</span>
      <span class="code">{code}</span>
      <span class="specimen-what">
        <span>{lotName}</span>
        <span class="soft">{summaryOf(specimen.setting).join(", ")}</span>
      </span>
      <span class="specimen-state">
        <StateMark state={state} />
        {next && <strong class="next-word">Next</strong>}
      </span>
      <div class="specimen-more">
        {why !== "" && <p>{why}</p>}
        {replaces !== null && <p>In the place of {replaces}.</p>}
        {replacedBy !== null && <p>Cut again as {replacedBy}.</p>}
        {runs.length > 0 && (
          <ul class="specimen-runs">
            {runs.map((run) => (
              <RunWords key={run.id} run={run} />
            ))}
          </ul>
        )}
        {runs.length > 1 && (
          <p class="otherwise">{runs.length} runs on one specimen: was one of them another piece?</p>
        )}
        {given.length > 0 && <p class="soft">{given.join(" · ")}</p>}
        {(twice || second > 0 || photos > 0) && (
          <p class="soft">
            {[
              ...(twice || second > 0
                ? [`second grading: ${second === 0 ? "not yet" : `${second} given`}`]
                : []),
              ...(photos > 0 ? [photos === 1 ? "1 photo" : `${photos} photos`] : []),
            ].join(", ")}
          </p>
        )}
        {offered && <CutAgain specimen={specimen} changed={changed} />}
        {state !== "cutting" && (
          <details class="specimen-actions">
            <summary data-testid={`actions-${code}`}>
              Change<span class="unseen"> {code}</span>
            </summary>
            <SpecimenActions specimen={specimen} running={running} changed={changed} />
          </details>
        )}
      </div>
    </li>
  );
}
