import type { CautionSource } from "../../../station/model/caution.js";
import { publishedDay } from "../words/time.js";

/** The published documents that something rests on. */
export function Sources({ sources }: { sources: readonly CautionSource[] }) {
  return (
    <ul class="caution-sources">
      {sources.map(({ title, reviewed, fromMemory }) => (
        <li key={title}>
          {title.endsWith(".") ? title : `${title}.`}{" "}
          <span class="soft">Looked at on {publishedDay(reviewed)}.</span>{" "}
          {fromMemory && <strong class="from-memory">From memory, not checked against the document</strong>}
        </li>
      ))}
    </ul>
  );
}
