import { useEffect, useState } from "preact/hooks";
import type { JobForecast, JobVerdict } from "../../../station/model/coolant-forecast.js";
import type { Fitness, NowSnapshot } from "../../../station/model/now.js";
import { ask } from "../link/ask.js";
import { FitnessShape } from "../marks/fitness.js";
import { unbroken } from "../words/unbroken.js";

const LENGTHS = [5, 10, 20, 30, 45, 60] as const;
const AGAIN_MS = 10_000;
const KEPT_AS = "job-minutes";

const SHAPES: Readonly<Record<JobVerdict, Fitness>> = {
  "likely-stays": "fit",
  "may-leave": "cannot-tell",
  "will-leave": "not-fit",
  outside: "not-fit",
  "cannot-tell": "cannot-tell",
};

/** "Does the coolant stay for a job of this length?", and what else is coming. */
export function JobTime({ now }: { now: NowSnapshot }) {
  const [minutes, setMinutes] = useState(lastChosen);
  const [forecast, setForecast] = useState<JobForecast | null>(null);
  useEffect(() => {
    let gone = false;
    const look = () =>
      void ask.job(minutes).then(
        (answer) => {
          if (!gone) setForecast(answer);
        },
        () => {
          if (!gone) setForecast(null);
        },
      );
    look();
    const timer = setInterval(look, AGAIN_MS);
    return () => {
      gone = true;
      clearInterval(timer);
    };
  }, [minutes]);
  const choose = (length: number) => {
    setMinutes(length);
    try {
      localStorage.setItem(KEPT_AS, String(length));
    } catch {
      // A browser that keeps nothing asks again next time.
    }
  };
  return (
    <section class="card job-time" aria-labelledby="job-time-title" data-testid="job-time">
      <h2 id="job-time-title">How long is the job?</h2>
      <fieldset class="job-lengths">
        <legend class="unseen">Minutes</legend>
        {LENGTHS.map((length) => (
          <button
            key={length}
            type="button"
            class="button job-length"
            aria-pressed={minutes === length}
            onClick={() => choose(length)}
          >
            {length}
            <span class="unseen"> minutes</span>
          </button>
        ))}
        <span aria-hidden="true">min</span>
      </fieldset>
      {forecast !== null && forecast.minutes === minutes && (
        <div aria-live="polite">
          <p class="job-verdict" data-testid="job-verdict">
            <FitnessShape fitness={SHAPES[forecast.verdict]} />
            <strong>{unbroken(forecast.sentence)}</strong>
          </p>
          <p class="soft">{unbroken(forecast.because)}</p>
        </div>
      )}
      <Coming now={now} />
      <p>
        <a class="more-cautions" href="/coolant">
          How good these forecasts have been
        </a>
      </p>
    </section>
  );
}

function Coming({ now }: { now: NowSnapshot }) {
  const { coolant, margin, heat } = now.outlook;
  const lines = [
    ["Coolant", coolant],
    ["Condensation margin", margin],
    ["Heat the coolant carries away", heat],
  ] as const;
  const known = lines.filter(([, text]) => text !== null);
  if (known.length === 0) return null;
  return (
    <dl class="coming">
      {known.map(([name, text]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{unbroken(text ?? "")}</dd>
        </div>
      ))}
    </dl>
  );
}

function lastChosen(): number {
  try {
    const kept = Number(localStorage.getItem(KEPT_AS));
    return LENGTHS.find((length) => length === kept) ?? 10;
  } catch {
    return 10;
  }
}
