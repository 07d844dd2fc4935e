import { useState } from "preact/hooks";
import type { NowSnapshot } from "../../../station/model/now.js";
import { REASONS, type Reason } from "../../../station/model/reading.js";
import { RESTART_CAUSES, type SourceState, type SourceStatus } from "../../../station/model/source.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { amend } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { Sign } from "../marks/signs.js";
import { ageText, dateText, isoText, whenText } from "../words/time.js";

export function Optics({ now }: { now: NowSnapshot }) {
  const [asking, setAsking] = useState(false);
  const { busy, refusal, attempt } = useDoing();
  const { cleanedWall, agoMs } = now.optics;
  const mark = async () => {
    const done = await attempt(async () => amend({ optics: await ask.opticsCleaned() }));
    if (done) setAsking(false);
  };
  return (
    <section class="card" aria-labelledby="optics-title">
      <h2 id="optics-title">Optics</h2>
      <p>
        {cleanedWall === null ? (
          "Never marked as cleaned."
        ) : (
          <>
            Last cleaned <time dateTime={isoText(cleanedWall)}>{whenText(cleanedWall, now.wall)}</time>
            {agoMs === null ? ". How long ago is told once the clock is set." : `, ${ageText(agoMs)} ago.`}
          </>
        )}
      </p>
      <RefusalText refusal={refusal} />
      {asking ? (
        <div class="spread">
          <button type="button" class="button" onClick={() => setAsking(false)}>
            No
          </button>
          <button
            type="button"
            class="button button-main"
            data-testid="optics-confirm"
            aria-disabled={busy}
            onClick={() => void mark()}
          >
            Yes, cleaned just now
          </button>
        </div>
      ) : (
        <button type="button" class="button" data-testid="optics-cleaned" onClick={() => setAsking(true)}>
          Optics cleaned
        </button>
      )}
    </section>
  );
}

/** The extraction's filter; nothing at all where nothing watches it. */
export function Filter({ now }: { now: NowSnapshot }) {
  const { filter } = now;
  if (filter === null) return null;
  const { state, text, likely, soonest, latest } = filter;
  return (
    <section class="card" aria-labelledby="filter-title" data-testid="filter">
      <h2 id="filter-title">Extraction filter</h2>
      <p>{text}</p>
      {state === "forecast" && soonest !== null && (
        <p>
          Due {likely === null ? "in more than a year" : `about ${dateText(likely, now.wall)}`}: no sooner
          than {dateText(soonest, now.wall)}
          {latest === null ? ", and it may be much later." : `, and by ${dateText(latest, now.wall)}.`}
        </p>
      )}
    </section>
  );
}

const SOURCE_WORDS: Readonly<Record<SourceState, string>> = {
  closed: "closed",
  opening: "opening",
  open: "open",
  silent: "open, but silent",
  "backing-off": "waiting to try again",
};

function reasonText(reason: Reason | null): string | null {
  return reason === null ? null : REASONS[reason].text;
}

/** How long a board that began anew for no good reason is told of. */
const RESTART_TOLD_MS = 3_600_000;

function beganAnew({ restart }: SourceStatus): boolean {
  return restart != null && RESTART_CAUSES[restart.cause].isTrouble && restart.agoMs < RESTART_TOLD_MS;
}

function BoardBeganAnew({ source, restart }: SourceStatus) {
  if (restart == null) return null;
  const { cause, agoMs, count } = restart;
  return (
    <li class="trouble-line">
      <Sign name="plug" />
      <span>
        <strong>
          {source} began anew {ageText(agoMs)} ago.
        </strong>{" "}
        Why: {RESTART_CAUSES[cause].text}.{count > 1 && ` It has begun anew ${count} times.`}
      </span>
    </li>
  );
}

/** What is wrong with the station itself; nothing at all while all is well. */
export function StationTrouble({ now }: { now: NowSnapshot }) {
  const troubled = now.sources.filter(({ state }) => state !== "open");
  const anew = now.sources.filter(beganAnew);
  const clockDoubtful = now.clock !== "synchronised";
  const { writing, held } = now.journal;
  if (troubled.length === 0 && anew.length === 0 && writing && !held && !clockDoubtful) return null;
  return (
    <section class="card trouble" aria-labelledby="trouble-title">
      <h2 id="trouble-title">The station itself</h2>
      <ul>
        {(!writing || held) && (
          <li class="trouble-line trouble-bad">
            <Sign name="note" />
            <span>
              <strong>{writing ? "Readings are held." : "The journal is not writing."}</strong>{" "}
              {now.journal.text}
            </span>
          </li>
        )}
        {troubled.map(({ source, driver, state, reason, detail }) => (
          <li key={source} class="trouble-line trouble-bad">
            <Sign name="plug" />
            <span>
              <strong>
                {source} ({driver}): {SOURCE_WORDS[state]}.
              </strong>{" "}
              {detail ?? reasonText(reason)}
            </span>
          </li>
        ))}
        {anew.map((status) => (
          <BoardBeganAnew key={status.source} {...status} />
        ))}
        {clockDoubtful && (
          <li class="trouble-line">
            <Sign name="clock" />
            <span>
              <strong>
                {now.clock === "unknown"
                  ? "Whether the station's clock is right cannot be told."
                  : "The clock has not been set yet."}
              </strong>{" "}
              {now.clock === "unknown"
                ? "Times of day may be wrong; lengths of time are not."
                : "Times before it is are put right afterwards. Lengths of time are right."}
            </span>
          </li>
        )}
      </ul>
    </section>
  );
}
