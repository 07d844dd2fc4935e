import type { CheckListNow } from "../../../station/model/caution.js";

/** What is to be looked at before the first cut of the day, or after the last. */
export function DueCheckLists({ lists }: { lists: readonly CheckListNow[] }) {
  if (lists.length === 0) return null;
  return (
    <ul class="due-lists" data-testid="due-checklists">
      {lists.map(({ id, title }) => (
        <li key={id}>
          <a class="button button-wide" href={`/checklists/${id}`}>
            {title}: what to look at
          </a>
        </li>
      ))}
    </ul>
  );
}
