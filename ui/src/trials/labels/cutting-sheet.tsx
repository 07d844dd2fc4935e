import { lotMark } from "../../../../station/model/lot.js";
import { planMark } from "../../../../station/model/plan.js";
import type { PlanView, SpecimenState, SpecimenView } from "../../../../station/model/specimen.js";
import { Wide } from "../../marks/wide.js";
import { STATE_WORDS } from "../plan/state.js";

const COLUMNS: readonly (readonly [words: string, number?: "number"])[] = [
  ["No."],
  ["Code"],
  ["Lot"],
  ["mm/s", "number"],
  ["%", "number"],
  ["Passes", "number"],
  ["Spacer, mm", "number"],
  ["Notes"],
];

function lotWords({ lots }: PlanView, id: string): string {
  const lot = lots.find((each) => each.id === id);
  return lot === undefined ? "" : `${lotMark(lot)} ${lot.facts.product}`;
}

/** Every specimen in the order of cutting, with its setting, to be ticked by hand at the machine. */
export function CuttingSheet({ plan }: { plan: PlanView }) {
  return (
    <section class="card cutting-sheet" data-testid="cutting-sheet">
      <p class="unprinted">
        <button type="button" class="button button-main" onClick={() => print()}>
          Print the cutting sheet
        </button>
      </p>
      <h2>
        {planMark(plan)} {plan.facts.title}
      </h2>
      {plan.blocks.map(({ block, specimens }) => (
        <div key={block} class="cutting-block">
          <h3>Block {block}</h3>
          <Wide name={`Block ${block}`} look="wide-table">
            <table>
              <thead>
                <tr>
                  {COLUMNS.map(([words, kind]) => (
                    <th key={words} scope="col" class={kind}>
                      {words}
                    </th>
                  ))}
                </tr>
              </thead>
              <tbody>
                {specimens.map((specimen) => (
                  <Line key={specimen.code} specimen={specimen} lot={lotWords(plan, specimen.lot)} />
                ))}
              </tbody>
            </table>
          </Wide>
        </div>
      ))}
    </section>
  );
}

/** To be ticked by hand, or ticked already; a dash for what is not cut any more. */
const BOXES: Readonly<Record<SpecimenState, string>> = {
  waiting: "☐",
  cutting: "☐",
  cut: "☑",
  spoilt: "–",
  skipped: "–",
};

function noteOf({ state, replaces, replacedBy }: SpecimenView): string {
  return [
    ...(state === "waiting" ? [] : [STATE_WORDS[state]]),
    ...(replaces === null ? [] : [`In place of ${replaces}`]),
    ...(replacedBy === null ? [] : [`Cut again as ${replacedBy}`]),
  ].join(", ");
}

function Line({ specimen, lot }: { specimen: SpecimenView; lot: string }) {
  const { code, place, setting, state } = specimen;
  return (
    <tr>
      <td class="cutting-place">
        {place} {BOXES[state]}
      </td>
      <th scope="row" class="cutting-code">
        {code}
      </th>
      <td class="words">{lot}</td>
      <td class="number">{setting.speed_mm_s}</td>
      <td class="number">{setting.power_pct}</td>
      <td class="number">{setting.passes}</td>
      <td class="number">{setting.focus_spacer_mm ?? ""}</td>
      <td class="cutting-notes">{noteOf(specimen)}</td>
    </tr>
  );
}
