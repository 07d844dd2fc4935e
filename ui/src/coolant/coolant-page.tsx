import type { ForecastRecord, ForecastScore } from "../../../station/model/coolant-forecast.js";
import { LineChart } from "../charts/line-chart.js";
import { ask } from "../link/ask.js";
import { useAsked } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { Wide } from "../marks/wide.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { numberText } from "../words/number.js";
import { dateText } from "../words/time.js";

/** How good the station's forecasts of the coolant have been. */
export function CoolantPage() {
  usePageTitle("Coolant forecasts");
  const { answer, refusal, again } = useAsked(start.value, ask.forecasts);
  return (
    <div class="page">
      <PageTop back="/" word="Now">
        <h1>How good the coolant forecasts have been</h1>
      </PageTop>
      <p>
        Every five minutes of the last three days a forecast is made again from the readings before it, and
        held against what came.
      </p>
      <RefusalText refusal={refusal} again={again} />
      {answer === null && refusal === null && <p role="status">Working it out from the journal.</p>}
      {answer !== null && <Record record={answer.record} />}
    </div>
  );
}

function Record({ record }: { record: ForecastRecord | null }) {
  if (record === null) return <p>No channel measures the coolant.</p>;
  if (record.scores.every(({ n }) => n === 0)) {
    return (
      <p data-testid="forecasts-none">
        None can be held against what came yet: that takes a quarter of an hour of coolant readings without a
        break.
      </p>
    );
  }
  return (
    <div data-testid="forecasts">
      {record.scores.map((score) => (
        <Score key={score.minutes} score={score} record={record} />
      ))}
    </div>
  );
}

function Score({ score, record }: { score: ForecastScore; record: ForecastRecord }) {
  const { minutes, n, held, width, saidStays, leftAfterAll, saidLeaves, leftAsSaid } = score;
  if (n === 0) return null;
  const rows = [
    ["The station's forecast", score.own],
    ["Stays as it is", score.stays],
    ["Goes on in a line", score.line],
  ] as const;
  const points = record.drawn.find((each) => each.minutes === minutes)?.points ?? [];
  const last = points.at(-1)?.t ?? record.to;
  return (
    <section class="card" aria-labelledby={`ahead-${minutes}`}>
      <h2 id={`ahead-${minutes}`}>{minutes} minutes ahead</h2>
      <Wide name={`${minutes} minutes ahead`} look="wide-table">
        <table>
          <caption class="soft">
            {n} forecasts since {dateText(record.from, record.to)}: how far off, in °C
          </caption>
          <thead>
            <tr>
              <th scope="col">Forecast</th>
              <th scope="col" class="number">
                Half were within
              </th>
              <th scope="col" class="number">
                Root mean square
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map(([name, errors]) => (
              <tr key={name}>
                <th scope="row">{name}</th>
                <td class="number">{numberText(errors.median, 2)}</td>
                <td class="number">{numberText(errors.rms, 2)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      <p>
        Its limits held {Math.round(100 * held)} of 100 times; {Math.round(100 * record.promised)} were
        promised. They were {numberText(width, 1)} °C wide on average.
      </p>
      <p>
        It said {saidStays} times that the coolant likely stays in its range: it left {leftAfterAll} times
        after all.
        {saidLeaves > 0 && ` It said ${saidLeaves} times that it may leave: it left ${leftAsSaid} times.`}
      </p>
      <LineChart
        name={`What came, and the limits of the forecast ${minutes} min before`}
        unit="Cel"
        decimals={1}
        buckets={points.map(({ t, low, high, came }) => ({ t, min: low, mean: came, max: high }))}
        from={points[0]?.t ?? record.from}
        to={last}
        range={now.value?.coolant ?? null}
      />
      <p class="soft">The line is what came, the shade the limits of the forecast.</p>
    </section>
  );
}
