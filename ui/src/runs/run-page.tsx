import { useEffect, useState } from "preact/hooks";
import { useRoute } from "preact-iso/router";
import type { ClockState } from "../../../station/model/instant.js";
import { MAINTENANCE } from "../../../station/model/maintenance.js";
import type { PlacedRun, Run, RunEnd } from "../../../station/model/run.js";
import { ask } from "../link/ask.js";
import { useAsked } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { FlagMark, flagWords } from "../marks/flag.js";
import { JournalDoubt } from "../marks/journal-doubt.js";
import { NoSuch } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { afterOpening } from "../words/opening.js";
import { durationText, fullText, isoText } from "../words/time.js";
import { RunCharts } from "./run-charts.js";
import { RunSettingsCard } from "./run-settings-card.js";
import { StampTable } from "./stamp-table.js";

const CAUSES: Readonly<Record<RunEnd, string>> = {
  screen: "on a screen",
  "foot-switch": "by the foot switch",
  "laser-on": "by the laser's own signal",
  "power-lost": "by a loss of power; closed at the next start",
  "station-stopped": "because the station was stopped",
  "station-failed": "because the station failed; closed at the next start",
};

const CLOCK_WORDS: Readonly<Record<ClockState, string>> = {
  synchronised: "set from a time source",
  "not synchronised": "not set from a time source",
  unknown: "not known whether it was right",
};

/** What is known now of the times of a run that was cut before the clock was set. */
function placedWords({ clockAtStart, placed }: PlacedRun): string {
  if (placed !== null) return ". The times above were put right afterwards";
  return clockAtStart === "not synchronised" ? ". The times above are as it said" : "";
}

function Facts({ run }: { run: PlacedRun }) {
  const { stamp } = run;
  const { answer } = useAsked(`upkeep ${run.id}`, () => ask.upkeepOf(run.id));
  const startWall = run.placed?.startWall ?? run.startWall;
  const endWall = run.placed?.endWall ?? run.endWall;
  return (
    <section class="card" aria-labelledby="facts-title">
      <h2 id="facts-title">When</h2>
      <dl class="facts">
        <div>
          <dt>Began</dt>
          <dd>
            <time dateTime={isoText(startWall)}>{fullText(startWall)}</time>, {CAUSES[run.cause]}
          </dd>
        </div>
        <div>
          <dt>Ended</dt>
          <dd>
            {endWall === null ? (
              "still open"
            ) : (
              <>
                <time dateTime={isoText(endWall)}>{fullText(endWall)}</time>
                {run.endCause !== null && `, ${CAUSES[run.endCause]}`}
              </>
            )}
          </dd>
        </div>
        {run.endWall !== null && (
          <div>
            <dt>Lasted</dt>
            <dd>{durationText(lengthOf(run, run.endWall))}</dd>
          </div>
        )}
        <div>
          <dt>Clock</dt>
          <dd>
            {CLOCK_WORDS[run.clockAtStart]}
            {stamp &&
              stamp.clockAtEnd !== run.clockAtStart &&
              ` at the beginning, ${CLOCK_WORDS[stamp.clockAtEnd]} at the end`}
            {placedWords(run)}
          </dd>
        </div>
        {stamp?.opticsHours != null && (
          <div>
            <dt>Optics</dt>
            <dd>cleaned {Math.round(stamp.opticsHours)} h before</dd>
          </div>
        )}
        {answer !== null && answer.upkeep.length > 0 && (
          <div>
            <dt>Hours of beam since</dt>
            <dd>
              {answer.upkeep
                .map(({ kind, laserHours }) => `${MAINTENANCE[kind].toLowerCase()}: ${hoursText(laserHours)}`)
                .join("; ")}
            </dd>
          </div>
        )}
        <div>
          <dt>Start of the Pi (boot id)</dt>
          <dd class="boot-id">{run.bootId}</dd>
        </div>
      </dl>
    </section>
  );
}

function hoursText(hours: number): string {
  return hours < 10 ? `${hours.toFixed(1)} h` : `${Math.round(hours)} h`;
}

/** By the monotonic clock where both ends have it; the wall clock can have been set in between. */
function lengthOf(run: Run, endWall: number): number {
  return run.endMono === null ? endWall - run.startWall : run.endMono - run.startMono;
}

/** The way to what explains it, where the run's specimen was not cut through. */
function WhyNot({ run }: { run: PlacedRun }) {
  const code = run.settings.specimen ?? "";
  const { answer } = useAsked(`outcome ${run.id} ${code}`, async () =>
    code === "" ? null : await ask.outcome(code),
  );
  if (run.endWall === null || answer?.through !== false || answer.run !== run.id) return null;
  return (
    <p class="card" data-testid="why-not">
      It was not cut through.{" "}
      <a class="way" href={`/review/runs/${encodeURIComponent(run.id)}`}>
        Why?
      </a>
    </p>
  );
}

function RunRecord({ run, changed }: { run: PlacedRun; changed: (run: Run) => void }) {
  const flags = run.stamp?.flags ?? [];
  return (
    <>
      <WhyNot run={run} />
      {flags.length > 0 && (
        <section class="card flags-card" aria-labelledby="flags-title">
          <h2 id="flags-title">Flags</h2>
          <ul class="flag-sentences">
            {flags.map(({ flag, text }) => (
              <li key={flag}>
                <FlagMark flag={flag} />
                <span>{afterOpening(text, flagWords(flag))}</span>
              </li>
            ))}
          </ul>
        </section>
      )}
      <div class="pair">
        <RunSettingsCard key={run.id} run={run} changed={changed} />
        <Facts run={run} />
      </div>
      {run.stamp ? (
        <StampTable stamp={run.stamp} placed={run.placed !== null} />
      ) : (
        <p class="card">The run is still open. Its conditions are stamped when it ends.</p>
      )}
      <RunCharts run={run} />
    </>
  );
}

export function RunPage() {
  const id = useRoute().params.id ?? "";
  // An open run gets its stamp when it ends: then this page asks again.
  const open = now.value?.run?.id === id;
  const { answer, refusal, again } = useAsked(`${start.value} ${id} ${open}`, () => ask.run(id));
  const [corrected, setCorrected] = useState<Run | null>(null);
  useEffect(() => setCorrected(null), [answer]);
  const run = answer === null ? null : { ...answer, ...corrected, placed: answer.placed };
  usePageTitle(run ? `Run ${run.number}` : "Run");
  return (
    <div class="page">
      <PageTop back="/runs" word="All runs">
        <h1>
          {run ? `Run ${run.number}` : "Run"}
          {run?.simulated && <span class="made-up">SIMULATED</span>}
        </h1>
      </PageTop>
      <JournalDoubt />
      <NoSuch what="run" refusal={refusal} again={again} />
      {run === null && refusal === null && <p role="status">Fetching the run.</p>}
      {run && <RunRecord run={run} changed={setCorrected} />}
    </div>
  );
}
