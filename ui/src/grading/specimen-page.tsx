import { useEffect, useRef, useState } from "preact/hooks";
import { useLocation, useRoute } from "preact-iso/router";
import type { PropertyId } from "../../../station/model/grade.js";
import type { GradingSheet, SpecimenState } from "../../../station/model/specimen.js";
import { now } from "../link/live.js";
import { NoSuch } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { screenName } from "../shell/screen-name.js";
import { asEntered } from "../words/number.js";
import { specimenAddress } from "./addresses.js";
import { Foot } from "./foot.js";
import { nextUngraded, plainCode } from "./next.js";
import { enterGrade, settled, waiting } from "./outbox.js";
import { withEntered } from "./overlay.js";
import { Photos } from "./photos.js";
import { Progress } from "./progress.js";
import { Properties } from "./properties.js";
import { secondOffer } from "./second.js";
import { SecondGate, SecondNote } from "./second-card.js";
import { usePlan } from "./use-plan.js";
import { useSheet } from "./use-sheet.js";
import { KeepingWords, Refused } from "./waiting-card.js";

const STATE_WORDS: Readonly<Record<SpecimenState, string | null>> = {
  waiting: "The station has no run of it: it has not been cut, or its run was not noted.",
  cutting: "It is being cut.",
  cut: null,
  spoilt: "Marked as spoilt: it is not compared.",
  skipped: "Marked as skipped: it was not cut.",
};

function Head({ sheet }: { sheet: GradingSheet }) {
  const { code, plan, blind, lotName, setting, state, grading } = sheet;
  return (
    <header class="specimen-head">
      <h1 class="specimen-code" data-testid="specimen-code">
        {code}
      </h1>
      <div>
        <p>
          P{plan.number}, {plan.title}
          {grading === 2 && <strong>. Second grading</strong>}
        </p>
        {blind ? (
          <p class="soft">Graded blind: neither lot nor setting is shown.</p>
        ) : (
          <p class="soft">
            {lotName !== null && `${lotName}. `}
            {setting !== null &&
              `${asEntered(setting.speed_mm_s)}\u00a0mm/s, ${asEntered(setting.power_pct)}\u00a0%`}
          </p>
        )}
        {STATE_WORDS[state] !== null && (
          <p class="specimen-state">
            <strong>{STATE_WORDS[state]}</strong>
          </p>
        )}
      </div>
    </header>
  );
}

/** Grading of one specimen, as its label's code opens it. */
export function SpecimenPage() {
  const { params } = useRoute();
  const { query, route } = useLocation();
  const typed = params.code ?? "";
  const grading = query.grading === "2" ? 2 : 1;
  const { sheet: answered, refusal, again } = useSheet(typed, grading);
  usePageTitle(plainCode(typed));
  useEffect(() => {
    if (answered !== null && typed !== answered.code) route(specimenAddress(answered.code, grading), true);
  }, [answered?.code]);
  return (
    <div class="page grading">
      {answered === null && <h1>Specimen {plainCode(typed)}</h1>}
      {answered === null && <NoSuch what="specimen" refusal={refusal} again={again} />}
      {answered === null && refusal === null && <p role="status">Fetching the specimen.</p>}
      {answered === null && refusal !== null && (
        <p class="links">
          {refusal.final && <span>{refusal.message}</span>}
          <a class="button grading-way" href="/grade">
            Type the code
          </a>
        </p>
      )}
      {answered !== null && <Sheet key={`${answered.code} ${grading}`} answered={answered} />}
    </div>
  );
}

function Sheet({ answered }: { answered: GradingSheet }) {
  const { code } = answered;
  const today = now.value?.wall ?? Date.now();
  const own = waiting.value.filter(({ subject, refused }) => subject === code && refused === null);
  const sheet = withEntered(answered, [...settled.value, ...own]);
  const [looked, setLooked] = useState(false);
  // Judged as it was opened: who has just given the last grade need not be kept from it.
  const [offerAtFirst] = useState(() =>
    sheet.grading === 1 ? secondOffer(sheet, screenName(), Date.now()) : "no",
  );
  const [wrong, setWrong] = useState<string | null>(null);
  const plan = usePlan(sheet.plan.id);
  const underWay = useRef(new Map<PropertyId, number | null>());
  const title = `P${sheet.plan.number}, ${sheet.plan.title}`;

  const put = (property: PropertyId, value: number | null) => {
    const given = sheet.grades[property]?.value ?? null;
    const last = underWay.current.has(property) ? underWay.current.get(property) : given;
    if (last === value) return;
    underWay.current.set(property, value);
    setWrong(null);
    enterGrade({ subject: code, property, body: { value, grading: sheet.grading } }, title)
      .catch((error: unknown) => setWrong(error instanceof Error ? error.message : String(error)))
      .finally(() => {
        if (underWay.current.get(property) === value) underWay.current.delete(property);
      });
  };

  const waits = new Set(own.flatMap((item) => (item.kind === "grade" ? [item.property] : [])));
  const gate = offerAtFirst === "now" && !looked;
  return (
    <>
      <Head sheet={sheet} />
      <Refused wall={today} />
      {gate ? (
        <SecondGate code={code} open={() => setLooked(true)} />
      ) : (
        <>
          <Properties sheet={sheet} waiting={waits} today={today} put={put} />
          <Photos
            subject={code}
            called={code}
            title={title}
            photos={sheet.photos}
            waiting={waiting.value.flatMap((item) =>
              item.kind === "photo" && item.subject === code ? [item] : [],
            )}
            today={today}
          />
          {sheet.grading === 1 && (
            <SecondNote offer={secondOffer(sheet, screenName(), Date.now())} today={today} />
          )}
        </>
      )}
      <p>
        <a class="button grading-way" href="/grade">
          Another code, and what waits
        </a>
      </p>
      <KeepingWords />
      <Foot wrong={wrong}>
        {!gate && (
          <Progress
            sheet={sheet}
            next={plan === null ? null : nextUngraded(plan, code, [...settled.value, ...waiting.value])}
          />
        )}
      </Foot>
    </>
  );
}
