import { now } from "../link/live.js";
import { shortStatement } from "../shell/statement.js";
import { fullText } from "../words/time.js";

/** Sentences that stand beside an answer: what was left out, what to be careful of. */
export function Told({ title, sentences }: { title: string; sentences: readonly string[] }) {
  const said = [...new Set(sentences)];
  if (said.length === 0) return null;
  return (
    <section class="card" aria-label={title}>
      <h2>{title}</h2>
      <ul class="sentences">
        {said.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}

/** At the foot of every page of review. */
export function Advice() {
  return (
    <>
      <p class="soft">
        This is arithmetic on your own records. It advises: what to do about it is your judgement.{" "}
        <a class="way no-print" href="/review/method">
          How this is judged
        </a>
      </p>
      <p class="soft print-only">
        {now.value?.stationName ?? "Workshop station"}, printed on {fullText(now.value?.wall ?? Date.now())}.{" "}
        {shortStatement.value}
      </p>
    </>
  );
}

export function PrintButton() {
  return (
    <button type="button" class="button no-print" onClick={() => window.print()}>
      Print
    </button>
  );
}
