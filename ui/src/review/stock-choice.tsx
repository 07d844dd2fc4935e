import { useId } from "preact/hooks";
import type { StockRow } from "../../../station/model/review-views.js";

interface Props {
  readonly label: string;
  readonly stocks: readonly StockRow[];
  /** Empty for none. */
  readonly value: string;
  readonly change: (name: string) => void;
}

/** One of the stocks that were cut. */
export function StockChoice({ label, stocks, value, change }: Props) {
  const id = useId();
  return (
    <div class="field field-material">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => change(event.currentTarget.value)}>
        <option value="">Choose one</option>
        {stocks.map(({ name, n }) => (
          <option key={name} value={name}>
            {name} ({n} {n === 1 ? "run" : "runs"})
          </option>
        ))}
      </select>
    </div>
  );
}
