import { useRoute } from "preact-iso/router";
import type { SheetLine } from "../../../station/model/decision.js";
import { ask } from "../link/ask.js";
import { useAsked } from "../link/asked.js";
import { start } from "../link/live.js";
import { NoSuch } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { asEntered } from "../words/number.js";
import { fullText, isoText } from "../words/time.js";

/** The settings of a lot, for the wall. */
export function SettingsSheetPage() {
  const { params } = useRoute();
  const lot = params.lot ?? "";
  const { answer, refusal, again } = useAsked(`${start.value} ${lot}`, () => ask.settingsSheet(lot));
  usePageTitle("Settings sheet");
  return (
    <div class="page wall-sheet">
      <PageTop
        back={answer === null ? "/lots" : `/lots/${lot}`}
        word={answer === null ? "All lots" : answer.lot.name}
      >
        <h1>{answer === null ? "Settings sheet" : `Settings: ${answer.lot.name}`}</h1>
      </PageTop>
      <NoSuch what="lot" refusal={refusal} again={again} />
      {answer?.lines.length === 0 && (
        <p>Nothing is on this sheet yet. Put the settings there from the decision of a plan.</p>
      )}
      {answer?.lines.map((line) => (
        <Line key={line.body.what} line={line} />
      ))}
      {answer !== null && answer.lines.length > 0 && (
        <button type="button" class="button no-print" onClick={() => window.print()}>
          Print
        </button>
      )}
    </div>
  );
}

function Line({ line }: { line: SheetLine }) {
  const { body, planMark, wall, before } = line;
  return (
    <section class="card wall-line">
      <h2>{body.what}</h2>
      <p class="wall-speed">
        {asEntered(body.speed_mm_s)} <span>mm/s</span>
      </p>
      <p class="wall-rest">
        {asEntered(body.power_pct)} % · {body.passes} {body.passes === 1 ? "pass" : "passes"} ·{" "}
        {body.focus_spacer_mm === null ? "spacer not said" : `spacer ${asEntered(body.focus_spacer_mm)} mm`}
      </p>
      <p>
        {asEntered(body.margin_pct)} % slower than the fastest found
        {body.conditions === "" ? "." : `, with ${body.conditions}.`}
      </p>
      <p class="soft">
        <time dateTime={isoText(wall)}>{fullText(wall)}</time>,{" "}
        {planMark === null || body.plan === null ? (
          "entered by hand"
        ) : (
          <>
            from{" "}
            <a class="way" href={`/plans/${body.plan}/decision`}>
              the decision of {planMark}
            </a>
          </>
        )}
      </p>
      {before.map((older) => (
        <p class="soft no-print" key={older.wall}>
          Before {fullText(older.wall)}: {asEntered(older.body.speed_mm_s)} mm/s,{" "}
          {asEntered(older.body.power_pct)} %
        </p>
      ))}
    </section>
  );
}
