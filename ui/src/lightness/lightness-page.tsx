import { useState } from "preact/hooks";
import { useRoute } from "preact-iso/router";
import { LIGHTNESS_AREAS, type LightnessArea, type MeasuredAreas } from "../../../station/model/lightness.js";
import { specimenAddress } from "../grading/addresses.js";
import { enterGrade } from "../grading/outbox.js";
import { ask } from "../link/ask.js";
import { useAsked, useDoing } from "../link/asked.js";
import { NoSuch, RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { askedOf, MARK_WORDS, type MarkId, type Marks, PATCHES, type Patch } from "./marked.js";
import { PhotoMarks } from "./photo-marks.js";

const AREAS = Object.keys(LIGHTNESS_AREAS) as LightnessArea[];

function numberIn(typed: string): number | undefined {
  const value = Number(typed.trim().replace(",", "."));
  return typed.trim() !== "" && value > 0 && value <= 100 ? value : undefined;
}

/** How light edge, residue and face are in a photo, after the grey card that is in it. */
export function LightnessPage() {
  const { params } = useRoute();
  const [code, sha256] = [params.code ?? "", params.photo ?? ""];
  usePageTitle(`Lightness, ${code}`);
  const sheet = useAsked(`lightness ${code}`, () => ask.specimen(code, 1));
  const photo = sheet.answer?.photos.find((each) => each.sha256 === sha256) ?? null;
  const [marking, setMarking] = useState<MarkId>("grey");
  const [marks, setMarks] = useState<Marks>({});
  const [typed, setTyped] = useState<Readonly<Record<Patch, string>>>({ black: "", grey: "", white: "" });
  const [found, setFound] = useState<MeasuredAreas | null>(null);
  const [kept, setKept] = useState(false);
  const [again, setAgain] = useState(false);
  const { busy, refusal, attempt } = useDoing();
  const known: Partial<Record<Patch, number>> = {};
  for (const patch of PATCHES) {
    const star = numberIn(typed[patch]);
    if (star !== undefined) known[patch] = star;
  }
  const asked = photo === null ? null : askedOf(marks, known, photo);
  const forget = () => {
    setFound(null);
    setKept(false);
  };
  const measure = () => {
    if (asked === null) return;
    void attempt(async () => {
      forget();
      setFound(await ask.lightness(sha256, asked));
    });
  };
  const keep = () => {
    if (found === null || sheet.answer === null) return;
    const { title } = sheet.answer.plan;
    void attempt(async () => {
      for (const area of AREAS) {
        const value = found[area]?.lightness;
        if (value === undefined) continue;
        const body = { value: Math.round(value * 10) / 10, grading: again ? 2 : 1 } as const;
        await enterGrade({ subject: code, property: LIGHTNESS_AREAS[area], body }, title);
      }
      setKept(true);
    });
  };
  return (
    <div class="page">
      <PageTop back={specimenAddress(code)} word={code}>
        <h1>How light is it?</h1>
      </PageTop>
      <NoSuch what="specimen" refusal={sheet.refusal} again={sheet.again} />
      {sheet.answer !== null && photo === null && (
        <p class="refusal" role="alert">
          There is no photo of {code} at this address.
        </p>
      )}
      {photo !== null && (
        <>
          <section class="card" aria-labelledby="mark-title">
            <h2 id="mark-title">Mark what is what</h2>
            <p class="soft">
              Choose, then drag over the photo. The card must lie in the same light, and its L* be known: as
              its maker says, or as measured. A grey of 18 % is L* 49.5; one that you printed yourself is not
              what the printer was told.
            </p>
            <p>
              <a class="way" href="/grey-card">
                A card to print
              </a>
            </p>
            <fieldset class="mark-choice">
              <legend class="unseen">What the next drag marks</legend>
              {[...PATCHES, ...AREAS].map((id) => (
                <label key={id} class="choice">
                  <input
                    type="radio"
                    name="marking"
                    checked={marking === id}
                    onChange={() => setMarking(id)}
                  />
                  <span>
                    {MARK_WORDS[id]}
                    {marks[id] !== undefined && " ✓"}
                  </span>
                </label>
              ))}
            </fieldset>
            <PhotoMarks
              src={`/api/photos/${sha256}.jpg`}
              marks={marks}
              marking={marking}
              mark={(share) => {
                setMarks((before) => ({ ...before, [marking]: share }));
                forget();
              }}
            />
            <div class="known-stars">
              {PATCHES.map((patch) => (
                <div class="field" key={patch}>
                  <label for={`star-${patch}`}>L* of the {MARK_WORDS[patch].slice("Card: ".length)}</label>
                  <input
                    id={`star-${patch}`}
                    type="text"
                    inputMode="decimal"
                    value={typed[patch]}
                    onInput={(event) => {
                      const text = event.currentTarget.value;
                      setTyped((before) => ({ ...before, [patch]: text }));
                      forget();
                    }}
                  />
                </div>
              ))}
            </div>
            <button
              type="button"
              class="button"
              data-testid="measure-lightness"
              aria-disabled={asked === null || busy}
              onClick={measure}
            >
              Measure
            </button>
            {asked === null && (
              <p class="soft">Mark a patch of the card and type its L*, and mark something to be measured.</p>
            )}
            <RefusalText refusal={refusal} />
          </section>
          {found !== null && (
            <Found
              found={found}
              kept={kept}
              keep={keep}
              busy={busy}
              again={again}
              setAgain={(next) => {
                setAgain(next);
                setKept(false);
              }}
            />
          )}
        </>
      )}
    </div>
  );
}

interface FoundProps {
  readonly found: MeasuredAreas;
  readonly kept: boolean;
  readonly keep: () => void;
  readonly busy: boolean;
  /** Of another photo, which tells how well it repeats. */
  readonly again: boolean;
  readonly setAgain: (again: boolean) => void;
}

function Found({ found, kept, keep, busy, again, setAgain }: FoundProps) {
  return (
    <section class="card" aria-labelledby="found-title" data-testid="lightness-found">
      <h2 id="found-title">Lightness</h2>
      {AREAS.map((area) => {
        const measured = found[area];
        if (measured === undefined) return null;
        return (
          <div key={area}>
            <p>
              {MARK_WORDS[area]}: <strong>L* {measured.lightness.toFixed(1)}</strong>, uneven by{" "}
              {measured.sd.toFixed(1)}
            </p>
            {measured.warnings.map((words) => (
              <p key={words} class="soft">
                {words}
              </p>
            ))}
          </div>
        );
      })}
      <p class="soft">0 is black, 100 is white.</p>
      <label class="choice second-photo">
        <input type="checkbox" checked={again} onChange={(event) => setAgain(event.currentTarget.checked)} />
        <span>A second measurement, of another photo of this specimen: to tell how well it repeats</span>
      </label>
      {kept ? (
        <p role="status">Kept with its grades.</p>
      ) : (
        <button type="button" class="button" data-testid="keep-lightness" aria-disabled={busy} onClick={keep}>
          Keep with its grades
        </button>
      )}
    </section>
  );
}
