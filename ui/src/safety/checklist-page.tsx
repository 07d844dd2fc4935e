import { useRef, useState } from "preact/hooks";
import type { CheckList } from "../../../station/model/caution.js";
import { ask } from "../link/ask.js";
import { useAsked, useDoing } from "../link/asked.js";
import { start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { useGoOn } from "../shell/go-on.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { screenName } from "../shell/screen-name.js";

export function CheckListPage({ id = "" }: { id?: string }) {
  const { answer, refusal, again } = useAsked(start.value, ask.cautions);
  const list = answer?.checklists.find((each) => each.id === id);
  usePageTitle(list?.title ?? "Check list");
  return (
    <div class="page">
      <PageTop back="/safety" word="Safety">
        <h1>{list?.title ?? (answer === null ? "Check list" : "There is no such check list")}</h1>
      </PageTop>
      <RefusalText refusal={refusal} again={again} />
      {list !== undefined && <Items key={list.id} list={list} />}
    </div>
  );
}

/** Each is pressed for itself, and none is pressed beforehand. */
function Items({ list }: { list: CheckList }) {
  const [seen, setSeen] = useState<readonly string[]>([]);
  const { busy, refusal, attempt } = useDoing();
  const goOn = useGoOn();
  const lines = useRef<HTMLDivElement>(null);
  const left = list.items.length - seen.length;
  const keep = async () => {
    if (await attempt(() => ask.checked(list.id, seen, screenName()))) goOn("/");
  };
  return (
    <>
      <p>
        Your machine maker's own list comes first. Something not right? Leave it unpressed, and do not cut.
      </p>
      <div class="choice-lines checklist" ref={lines}>
        {list.items.map(({ id, text, sources }) => (
          <div key={id}>
            <label class="choice choice-line">
              <input
                type="checkbox"
                data-testid={`look-${id}`}
                checked={seen.includes(id)}
                onChange={(event) => {
                  const others = seen.filter((each) => each !== id);
                  setSeen(event.currentTarget.checked ? [...others, id] : others);
                }}
              />
              <span>{text}</span>
            </label>
            <p class="soft checklist-source">
              {sources.length === 0
                ? "Common practice, no source."
                : sources.map(({ title }) => title.split(",")[0]).join("; ")}
            </p>
          </div>
        ))}
      </div>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class={left === 0 ? "button button-main button-wide" : "button button-wide"}
        data-testid="looked-at"
        aria-disabled={busy || left > 0}
        onClick={() => {
          if (left === 0) void keep();
          else lines.current?.querySelector<HTMLElement>("input:not(:checked)")?.focus();
        }}
      >
        {left === 0 ? "All looked at" : `${left} more to look at`}
      </button>
    </>
  );
}
