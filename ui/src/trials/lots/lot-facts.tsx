import type { ComponentChild } from "preact";
import type { LotView } from "../../../../station/model/lot.js";
import { STOCKS } from "../../../../station/model/lot.js";
import { asEntered, numberText } from "../../words/number.js";
import { publishedDay } from "../../words/time.js";
import { sheetWords, spanWords, thicknessWords } from "./lot-words.js";

type Row = readonly [label: string, words: ComponentChild];

function Rows({ rows }: { rows: readonly Row[] }) {
  return (
    <dl class="facts">
      {rows.map(([label, words]) => (
        <div key={label}>
          <dt>{label}</dt>
          <dd>{words}</dd>
        </div>
      ))}
    </dl>
  );
}

interface Props {
  readonly lot: LotView;
  /** Of prices; empty where nobody has said it. */
  readonly currency: string;
  readonly fillIn: () => void;
}

/** An id has no spaces: each would begin another. */
const idOf = (title: string) => `lot-${title.toLowerCase().replaceAll(" ", "-")}`;

/** A lot as it was entered, and what the station works out from it. What is not known is named in one line. */
export function LotFactsCards({ lot, currency, fillIn }: Props) {
  const groups = groupsOf(lot, currency);
  const missing = groups.flatMap(({ rows }) => rows.filter(([, words]) => !words).map(([label]) => label));
  return (
    <>
      <div class="pair">
        {groups.map(({ title, rows }) => {
          const known = rows.filter(([, words]) => words);
          return (
            known.length > 0 && (
              <section class="card" aria-labelledby={idOf(title)} key={title}>
                <h2 id={idOf(title)}>{title}</h2>
                <Rows rows={known} />
              </section>
            )
          );
        })}
      </div>
      {missing.length > 0 && (
        <p class="not-known" data-testid="lot-not-known">
          <span>Not known: {missing.map((label, i) => (i === 0 ? label : lowered(label))).join(", ")}.</span>
          <button type="button" class="button button-small" onClick={fillIn}>
            Fill in
          </button>
        </p>
      )}
    </>
  );
}

/** Within a list; what is written in capitals stays so. */
function lowered(label: string): string {
  return label.charAt(0).toLowerCase() + label.slice(1);
}

function groupsOf(
  { facts, density, ...lot }: LotView,
  currency: string,
): readonly { readonly title: string; readonly rows: readonly Row[] }[] {
  const entered = (value: number | undefined) => (value === undefined ? null : asEntered(value));
  const money = (value: number | undefined) =>
    value === undefined ? null : `${asEntered(value)}\u00a0${currency}`.trim();
  return [
    {
      title: "What it is",
      rows: [
        ["Made of", STOCKS[facts.stock]],
        ["Nominal thickness", `${asEntered(facts.nominal_mm)}\u00a0mm`],
        ["How it is stored", facts.storage],
        // Nobody misses a note.
        ...(facts.note === undefined ? [] : [["Note", facts.note] as const]),
      ],
    },
    {
      title: "Measured",
      rows: [
        ["Thickness", thicknessWords(lot)],
        ...(lot.thickness === null ? [] : [["Thinnest, thickest", spanWords(lot)] as const]),
        ["Sheet", sheetWords({ facts })],
        ["Density (EN 323)", density === null ? null : `${numberText(density, 0)}\u00a0kg/m³`],
      ],
    },
    {
      title: "Bought",
      rows: [
        ["Supplier", facts.supplier],
        ["Received on", facts.received_on && publishedDay(facts.received_on)],
        ["Price of a sheet", money(facts.sheet_price)],
        ["Sheets ordered", entered(facts.sheets)],
        ["Delivery", money(facts.delivery)],
        ["Minimum order", entered(facts.minimum_order)],
      ],
    },
  ];
}
