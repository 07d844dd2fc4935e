import { useId, useRef, useState } from "preact/hooks";
import type { LotFacts } from "../../../../station/model/lot.js";
import { STOCKS, type Stock } from "../../../../station/model/lot.js";
import { useDoing } from "../../link/asked.js";
import { FormRefusal, useExpected } from "../../settings/expected.js";
import { NumberList } from "../typed/number-list.js";
import { TypedField } from "../typed/typed-field.js";
import { type LotDraft, type LotTyped, lotFactsOf } from "./lot-draft.js";

interface Props {
  readonly begin: LotDraft;
  readonly keep: (facts: LotFacts) => Promise<unknown>;
  readonly leave: () => void;
  readonly leaveWords: string;
  readonly suppliers: readonly string[];
  /** Of prices; empty where nobody has said it. */
  readonly currency: string;
}

/** All that is entered of a lot. Only what it is, what it is called and how thick it is sold must be known. */
export function LotForm({ begin, keep, leave, leaveWords, suppliers, currency }: Props) {
  const [draft, setDraft] = useState(begin);
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  const { busy, refusal, attempt } = useDoing();
  const form = useRef<HTMLFormElement>(null);
  const expected = useExpected(refusal, wrong, form, lotFactsOf(draft).wrong);
  const stockId = useId();
  const of = (name: LotTyped) => ({
    name,
    value: draft.typed[name],
    wrong: expected,
    change: (value: string) => setDraft({ ...draft, typed: { ...draft.typed, [name]: value } }),
  });
  const submit = async () => {
    const read = lotFactsOf(draft);
    setWrong(read.wrong);
    if (read.wrong.size === 0) await attempt(() => keep(read.facts));
  };
  return (
    <form
      ref={form}
      class="trial-form"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <section class="card" aria-labelledby={`${stockId}-what`}>
        <h2 id={`${stockId}-what`}>What it is</h2>
        <div class="fields">
          <TypedField {...of("product")} label="Product" most={80} wide="half">
            As it is called where it is bought.
          </TypedField>
          <div class="field field-half">
            <label for={stockId}>Made of</label>
            <select
              id={stockId}
              name="stock"
              value={draft.stock}
              aria-invalid={expected.has("stock")}
              onChange={(event) => setDraft({ ...draft, stock: event.currentTarget.value as Stock | "" })}
            >
              <option value="">Choose</option>
              {Object.entries(STOCKS).map(([stock, words]) => (
                <option key={stock} value={stock}>
                  {words}
                </option>
              ))}
            </select>
            {expected.has("stock") && <p class="field-expected">Expected: {expected.get("stock")}</p>}
          </div>
          <TypedField {...of("nominal_mm")} label="Nominal thickness" unit="mm" kind="number" wide="half" />
          <TypedField {...of("supplier")} label="Supplier" most={80} wide="half" known={suppliers} />
          <TypedField {...of("received_on")} label="Received on" kind="date" wide="half" />
          <TypedField {...of("storage")} label="Stored" most={200} wide="half">
            Where, and how: flat, upright, dry.
          </TypedField>
        </div>
      </section>
      <section class="card" aria-labelledby={`${stockId}-size`}>
        <h2 id={`${stockId}-size`}>Measured</h2>
        <div class="fields">
          <NumberList
            name="thickness_mm"
            label="Thickness, one point after another"
            unit="mm"
            list={draft.thickness_mm}
            wrong={expected}
            change={(thickness_mm) => setDraft({ ...draft, thickness_mm })}
          >
            Five points of a sheet or more, with calipers or a micrometer, away from the edges.
          </NumberList>
          <TypedField {...of("sheet_length_mm")} label="Sheet length" unit="mm" kind="number" />
          <TypedField {...of("sheet_width_mm")} label="Sheet width" unit="mm" kind="number" />
        </div>
        <p class="form-words">
          For the density, after EN 323: a piece that was weighed and measured. Its thickness is the mean of
          the points above.
        </p>
        <div class="fields">
          <TypedField {...of("piece_g")} label="Piece: mass" unit="g" kind="number" />
          <TypedField {...of("piece_length_mm")} label="Piece: length" unit="mm" kind="number" />
          <TypedField {...of("piece_width_mm")} label="Piece: width" unit="mm" kind="number" />
        </div>
      </section>
      <section class="card" aria-labelledby={`${stockId}-price`}>
        <h2 id={`${stockId}-price`}>Bought</h2>
        <div class="fields">
          <TypedField {...of("sheet_price")} label="Price of a sheet" unit={currency} kind="number" />
          <TypedField {...of("sheets")} label="Sheets ordered" kind="number" />
          <TypedField {...of("delivery")} label="Delivery" unit={currency} kind="number" />
          <TypedField {...of("minimum_order")} label="Minimum order" kind="number" />
          <TypedField {...of("note")} label="Note" kind="lines" most={1000} wide="whole" />
        </div>
      </section>
      <FormRefusal refusal={refusal} wrong={expected} />
      <div class="spread">
        <button type="button" class="button" onClick={leave}>
          {leaveWords}
        </button>
        <button type="submit" class="button button-main" data-testid="lot-keep" aria-disabled={busy}>
          Keep the lot
        </button>
      </div>
    </form>
  );
}
