import type { Unit } from "../../../station/model/quantity.js";
import { withUnit } from "../words/number.js";
import { hourAndMinute } from "../words/time.js";
import type { LineSpec } from "./draw.js";
import { useDrawing } from "./drawing.js";

const draw = import("./draw.js").then(({ drawLine }) => drawLine);

interface Props extends LineSpec {
  readonly name: string;
  readonly unit: Unit;
}

/** The chart in a sentence, for those who cannot see it. */
function inWords({ name, unit, decimals, buckets, from, to }: Props): string {
  let least: number | null = null;
  let most: number | null = null;
  let lost = 0;
  for (const { min, max, bad = 0 } of buckets) {
    lost += bad;
    if (min !== null && (least === null || min < least)) least = min;
    if (max !== null && (most === null || max > most)) most = max;
  }
  const span = `${hourAndMinute(from)} to ${hourAndMinute(to)}`;
  const without = lost === 0 ? "" : `; ${lost} bad readings`;
  if (least === null || most === null) return `${name}, ${span}: no values${without}`;
  return `${name}, ${span}: between ${withUnit(least, decimals, unit)} and ${withUnit(most, decimals, unit)}${without}`;
}

export function LineChart(props: Props) {
  const { buckets, from, to, range } = props;
  const canvas = useDrawing<LineSpec>(draw, props, [buckets, from, to, range?.low, range?.high]);
  return (
    <div class="chart">
      <canvas ref={canvas} role="img" aria-label={inWords(props)} />
    </div>
  );
}
