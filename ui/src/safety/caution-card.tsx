import type { Caution } from "../../../station/model/caution.js";
import { Sources } from "./sources.js";

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
      <Sources sources={caution.sources} />
    </article>
  );
}
