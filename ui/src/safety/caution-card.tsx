import type { Caution } from "../../../station/model/caution.js";
import { publishedDay } from "../words/time.js";

/** A caution as it stands on the page Now: what and why, with its sources one page away. */
export function CautionNote({ caution }: { caution: Caution }) {
  return (
    <li class="caution-note">
      <h3>{caution.headline}</h3>
      <p>{caution.text}</p>
    </li>
  );
}

export function CautionCard({ caution }: { caution: Caution }) {
  return (
    <article class={`caution caution-${caution.seriousness}`} id={caution.id}>
      <h3>{caution.headline}</h3>
      <p>{caution.text}</p>
      <h4>Rests on</h4>
      <ul class="caution-sources">
        {caution.sources.map(({ title, reviewed, fromMemory }) => (
          <li key={title}>
            {title.endsWith(".") ? title : `${title}.`}{" "}
            <span class="soft">Looked at on {publishedDay(reviewed)}.</span>{" "}
            {fromMemory && <strong class="from-memory">From memory, not checked against the document</strong>}
          </li>
        ))}
      </ul>
    </article>
  );
}
