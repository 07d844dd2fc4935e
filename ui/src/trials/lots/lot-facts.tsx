import type { ComponentChild } from "preact";
import type { LotView } from "../../../../station/model/lot.js";
import { STOCKS } from "../../../../station/model/lot.js";
import { asEntered, numberText } from "../../words/number.js";
import { publishedDay } from "../../words/time.js";
import { sheetWords, spanWords, thicknessWords } from "./lot-words.js";

function Rows({ rows }: { rows: readonly (readonly [label: string, words: ComponentChild])[] }) {
  return (
    <dl class="facts">
      {rows.map(([label, words]) => (
        <div key={label}>
          <dt>{label}</dt>
          <dd>{words ?? <span class="soft">not known</span>}</dd>
        </div>
      ))}
    </dl>
  );
}

/** A lot as it was entered, and what the station works out from it. */
export function LotFactsCards({ lot }: { lot: LotView }) {
  const { facts, density } = lot;
  const entered = (value: number | undefined) => (value === undefined ? null : asEntered(value));
  return (
    <div class="pair">
      <section class="card" aria-labelledby="lot-measured">
        <h2 id="lot-measured">Measured</h2>
        <Rows
          rows={[
            ["Nominal thickness", `${asEntered(facts.nominal_mm)}\u00a0mm`],
            ["Thickness", thicknessWords(lot)],
            ["Thinnest, thickest", spanWords(lot)],
            ["Sheet", sheetWords(lot)],
            ["Density, EN 323", density === null ? null : `${numberText(density, 0)}\u00a0kg/m³`],
          ]}
        />
      </section>
      <section class="card" aria-labelledby="lot-bought">
        <h2 id="lot-bought">Bought</h2>
        <Rows
          rows={[
            ["Made of", STOCKS[facts.stock]],
            ["Supplier", facts.supplier],
            ["Received on", facts.received_on && publishedDay(facts.received_on)],
            ["Price of a sheet", entered(facts.sheet_price)],
            ["Sheets ordered", entered(facts.sheets)],
            ["Delivery", entered(facts.delivery)],
            ["Minimum order", entered(facts.minimum_order)],
            ["Stored", facts.storage],
            ["Note", facts.note],
          ]}
        />
      </section>
    </div>
  );
}
