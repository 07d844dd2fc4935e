import { useState } from "preact/hooks";
import {
  type AlarmPerformanceView,
  type FrequentAlarm,
  type Lengths,
  RECOMMENDED,
} from "../../../station/model/alarm-performance.js";
import { useAsked } from "../link/asked.js";
import { start } from "../link/live.js";
import { PriorityMark } from "../marks/priority.js";
import { PRIORITY_WORDS } from "../marks/priority-words.js";
import { RefusalText } from "../marks/refusal.js";
import { Wide } from "../marks/wide.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { asEntered, NO_VALUE, numberText, shareText } from "../words/number.js";
import { longText } from "../words/time.js";
import { askAlarms } from "./ask-alarms.js";

const SPANS = [7, 30, 90];

/** How the alarms have done, as the standards count. */
export function AlarmPerformancePage() {
  usePageTitle("How the alarms are doing");
  const [days, setDays] = useState(30);
  const { answer, refusal, again } = useAsked(`${start.value} ${days}`, () => askAlarms.performance(days));
  return (
    <div class="page">
      <PageTop back="/alarms" word="Alarms">
        <h1>How the alarms are doing</h1>
      </PageTop>
      <p class="soft">
        Figures as ISA-18.2 and IEC 62682 count them, with what they recommend for one person (from memory).
        An alarm that comes too often is not believed when it matters: set it otherwise, or mend what is
        behind it.
      </p>
      <fieldset class="choices" data-testid="performance-span">
        <legend>The last</legend>
        {SPANS.map((span) => (
          <label class="choice" key={span}>
            <input type="radio" name="days" checked={days === span} onChange={() => setDays(span)} />
            <span>{span} days</span>
          </label>
        ))}
      </fieldset>
      <RefusalText refusal={refusal} again={again} />
      {answer !== null && <Figures figures={answer} />}
    </div>
  );
}

function Figures({ figures }: { figures: AlarmPerformanceView }) {
  const { now } = figures;
  return (
    <>
      <section class="card" aria-labelledby="now-title">
        <h2 id="now-title">At this moment</h2>
        <dl class="alarm-facts">
          <Fact name="Standing" value={String(now.standing)} />
          <Fact
            name="Of those for more than a day"
            value={String(now.stale)}
            good={`at most ${RECOMMENDED.stale}, each with a plan`}
            over={now.stale > RECOMMENDED.stale}
          />
          <Fact name="Chattering" value={String(now.chattering)} good="none" over={now.chattering > 0} />
          <Fact name="Shelved" value={String(now.shelved)} />
          <Fact name="Out of service" value={String(now.outOfService)} />
          <Fact name="Suppressed by design" value={String(now.suppressedByDesign)} />
        </dl>
      </section>
      <Rates figures={figures} />
      <Frequent
        title="Most frequent"
        alarms={figures.frequent}
        none="No alarm was raised."
        share={figures.topTenShare}
      />
      <Frequent
        title="Chattering"
        alarms={figures.chattering}
        none="No alarm came and went within a minute."
        share={null}
      />
      <section class="card" aria-labelledby="answers-title">
        <h2 id="answers-title">Answers</h2>
        <dl class="alarm-facts">
          <LengthFacts name="acknowledge" label="To acknowledge" lengths={figures.toAcknowledge} />
          <LengthFacts name="in-alarm" label="In alarm" lengths={figures.inAlarm} />
          <Fact name="Sounded again" value={String(figures.reAlarmed)} />
          <Fact name="Shelved" value={String(figures.shelved)} />
          <Fact name="Taken out of service" value={String(figures.takenOutOfService)} />
          <Fact name="Suppressed by design" value={String(figures.suppressedByDesign)} />
        </dl>
      </section>
      <Priorities figures={figures} />
    </>
  );
}

function Fact(props: { name: string; value: string; good?: string; over?: boolean }) {
  const { name, value, good, over = false } = props;
  return (
    <div>
      <dt>{name}</dt>
      <dd>
        <strong>{value}</strong>
        {over && <span class="over"> more than recommended</span>}
        {good !== undefined && <span class="soft"> ({good})</span>}
      </dd>
    </div>
  );
}

function rateText(rate: number | null, decimals: number): string {
  return rate === null ? NO_VALUE : numberText(rate, decimals);
}

function Rates({ figures }: { figures: AlarmPerformanceView }) {
  const {
    raised,
    undated,
    averagePerDay,
    worstDay,
    averagePerTenMinutes,
    peakInTenMinutes,
    floods,
    days,
    cut,
  } = figures;
  const { perDay, perTenMinutes, flood } = RECOMMENDED;
  const floodShare = days > 0 ? floods.ms / (days * 86_400_000) : 0;
  return (
    <section class="card" aria-labelledby="rates-title">
      <h2 id="rates-title">How many</h2>
      {cut && <p>There were more than could be looked through: these are the latest.</p>}
      <dl class="alarm-facts" data-testid="alarm-rates">
        <Fact
          name="Raised"
          value={`${asEntered(raised)} in ${longText(days * 86_400_000)}`}
          {...(undated > 0 ? { good: `${undated} by a clock that nobody had set` } : {})}
        />
        <Fact
          name="A day, on average"
          value={rateText(averagePerDay, 1)}
          good={`up to ${perDay.acceptable}, never more than ${perDay.most}`}
          over={(averagePerDay ?? 0) > perDay.acceptable}
        />
        <Fact
          name="Worst day"
          value={worstDay === null ? NO_VALUE : `${worstDay.count} on ${worstDay.day}`}
          over={(worstDay?.count ?? 0) > perDay.most}
        />
        <Fact
          name="In ten minutes, on average"
          value={rateText(averagePerTenMinutes, 2)}
          good={`up to ${perTenMinutes.acceptable}, never more than ${perTenMinutes.most}`}
          over={(averagePerTenMinutes ?? 0) > perTenMinutes.acceptable}
        />
        <Fact
          name="Most in ten minutes"
          value={String(peakInTenMinutes)}
          good={`up to ${flood.above}`}
          over={peakInTenMinutes > flood.above}
        />
        <Fact
          name="Floods"
          value={floods.count === 0 ? "none" : `${floods.count}, ${longText(floods.ms)} in all`}
          good={`more than ${flood.above} in ten minutes; at most ${shareText(flood.shareOfTime)} of the time`}
          over={floodShare > flood.shareOfTime}
        />
      </dl>
    </section>
  );
}

function Frequent(props: {
  title: string;
  alarms: readonly FrequentAlarm[];
  none: string;
  share: number | null;
}) {
  const { title, alarms, none, share } = props;
  const id = `frequent-${title.replace(/\W/g, "")}`;
  return (
    <section class="card" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      {alarms.length === 0 ? (
        <p>{none}</p>
      ) : (
        <ol class="frequent" data-testid={id}>
          {alarms.map(({ alarm, title: name, priority, count, share: of }) => (
            <li key={alarm}>
              <PriorityMark priority={priority} />
              <a class="set-alarm" href={`/alarms/settings/${encodeURIComponent(alarm)}`}>
                {name}
              </a>
              <span class="number">
                {count} {count === 1 ? "time" : "times"}, {shareText(of)}
              </span>
            </li>
          ))}
        </ol>
      )}
      {share !== null && (
        <p class="soft">
          Together {shareText(share)} of all. In a large plant the ten most frequent should be no more than{" "}
          {shareText(RECOMMENDED.topTenShare)}; a shop has not many more than ten.
        </p>
      )}
    </section>
  );
}

function LengthFacts({ name, label, lengths }: { name: string; label: string; lengths: Lengths }) {
  const { medianMs, longestMs, count, unknown } = lengths;
  const words =
    medianMs === null || longestMs === null
      ? NO_VALUE
      : `${longText(medianMs)} for half of ${count}, ${longText(longestMs)} at the longest`;
  return (
    <div data-testid={`lengths-${name}`}>
      <dt>{label}</dt>
      <dd>
        <strong>{words}</strong>
        {unknown > 0 && <span class="soft"> ({unknown} over a restart, by a clock that nobody had set)</span>}
      </dd>
    </div>
  );
}

function Priorities({ figures: { priorities, raised } }: { figures: AlarmPerformanceView }) {
  return (
    <section class="card" aria-labelledby="priorities-title">
      <h2 id="priorities-title">By priority</h2>
      <Wide name="By priority" look="table-scroll">
        <table class="table">
          <caption>The fewer are urgent, the more an urgent one says.</caption>
          <thead>
            <tr>
              <th scope="col">Priority</th>
              <th scope="col">Raised</th>
              <th scope="col">Share</th>
              <th scope="col">Recommended</th>
            </tr>
          </thead>
          <tbody>
            {priorities.map(({ priority, count, share }) => (
              <tr key={priority}>
                <th scope="row">{PRIORITY_WORDS[priority]}</th>
                <td>{count}</td>
                <td>{raised === 0 ? NO_VALUE : shareText(share)}</td>
                <td>about {shareText(RECOMMENDED.priorityShare[priority])}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
