import { usePageTitle } from "../shell/page-title.js";
import { ReviewFrame } from "./review-frame.js";
import { SOURCES } from "./sources.js";
import { VerdictMark } from "./verdict.js";

/** What review does, in plain words, and what it cannot know. */
export function MethodPage() {
  usePageTitle("How review judges");
  return (
    <ReviewFrame title="How this is judged" printable>
      <section class="card review-text" aria-labelledby="verdicts-title">
        <h2 id="verdicts-title">What each verdict means</h2>
        <dl class="review-verdicts">
          <dt>
            <VerdictMark verdict="explains" />
          </dt>
          <dd>
            Over all runs it has to do with whether a cut goes through: by more than chance does in 19 of 20
            workshops where nothing has, however many conditions were looked at, and it moved together with
            nothing else. Of one run: with the condition as it was, such a piece fails at least twice as often
            as with the condition as it usually is.
          </dd>
          <dt>
            <VerdictMark verdict="may explain" />
          </dt>
          <dd>
            There is a sign, and it is not settled: too weak for so many questions, or it moved together with
            something else, so that either may be it. Of one run also: it played a part, a fifth of the
            failure or more, and less than half; or it stood out among the good ones, or lay far outside them.
          </dd>
          <dt>
            <VerdictMark verdict="no sign" />
          </dt>
          <dd>
            So many runs would have shown an effect of a quarter of the speed 4 times in 5, and did not. A
            smaller one may still be there: the sentence says how small. Of one run also: it matters, and was
            not to blame here, or it was in the midst of the good ones.
          </dd>
          <dt>
            <VerdictMark verdict="cannot tell" />
          </dt>
          <dd>
            Too few runs, hardly any change in the condition, or it was not measured. That is no all-clear.
          </dd>
        </dl>
      </section>
      <section class="card review-text" aria-labelledby="how-title">
        <h2 id="how-title">How it is worked out</h2>
        <h3>Over all runs</h3>
        <p>
          Whether a cut goes through is held against its speed, power, passes and stock, and one condition
          more. Because few cuts are bad, the arithmetic has a correction for small numbers. Limits are of 95
          %. The more conditions are asked about, the stronger each sign has to be.
        </p>
        <h3>One bad run</h3>
        <p>
          Its conditions are ranked among comparable runs that did go through: the same stock, about the same
          setting. A rank promises the same for three runs as for three hundred, and with three it can promise
          little: then it says that it cannot tell. Where a condition matters over all runs it is reckoned
          besides how often such a piece fails with it as it was, and with it as it usually is.
        </p>
        <h3>Two stocks</h3>
        <p>
          Each has a speed at which half the cuts go through. The ratio of the two is given with limits, with
          and without a look at the conditions they were cut under. Where both were cut in the same blocks,
          only pieces of one block are held against each other as a second look.
        </p>
        <h3>Drift</h3>
        <p>
          Of each time that the reference was cut, the speed that still cuts is taken; the first times make a
          level with its scatter. From then on two charts are kept, of a running mean in which the newest
          count most, and of what adds up. Only where one of them leaves its limits is a drift spoken of.
        </p>
      </section>
      <section class="card review-text" aria-labelledby="cannot-title">
        <h2 id="cannot-title">What the station cannot know</h2>
        <ul class="sentences">
          <li>
            What nobody measured: a sheet that was bowed, a beam off its centre, a worn belt. What moves along
            with a condition is blamed on the condition.
          </li>
          <li>
            What causes what. Records show what went together. An experiment that changes one thing shows
            more, and review says which one.
          </li>
          <li>
            Which spacer was right. The focus is told by how far the spacer was from the usual of its stock.
          </li>
          <li>
            Runs without a grade. They have no outcome and are left out, and where only bad ones are graded,
            or only good ones, the answer leans that way.
          </li>
          <li>
            What was written into a spreadsheet. Past runs are taken as they were written, with no readings
            behind them.
          </li>
        </ul>
      </section>
      <section class="card review-text" aria-labelledby="sources-title">
        <h2 id="sources-title">Where the arithmetic comes from</h2>
        <ul class="sentences">
          {SOURCES.map(({ what, source }) => (
            <li key={source}>
              {what}: {source}.
            </li>
          ))}
        </ul>
        <p class="soft">
          References from memory; the results are held against published values in the station's tests.
        </p>
      </section>
    </ReviewFrame>
  );
}
