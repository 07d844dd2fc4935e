import { useEffect, useRef } from "preact/hooks";
import type { Unit } from "../../../station/model/quantity.js";
import { themeInForce } from "../shell/theme.js";
import { withUnit } from "../words/number.js";
import { hourAndMinute } from "../words/time.js";
import type { Drawing, LineSpec } from "./draw.js";

const drawing = import("./draw.js");

interface Props extends LineSpec {
  readonly name: string;
  readonly unit: Unit;
}

/** The chart in a sentence, for those who cannot see it. */
function inWords({ name, unit, decimals, buckets, from, to }: Props): string {
  let least: number | null = null;
  let most: number | null = null;
  for (const { min, max } of buckets) {
    if (min !== null && (least === null || min < least)) least = min;
    if (max !== null && (most === null || max > most)) most = max;
  }
  const span = `${hourAndMinute(from)} to ${hourAndMinute(to)}`;
  if (least === null || most === null) return `${name}, ${span}: no values`;
  return `${name}, ${span}: between ${withUnit(least, decimals, unit)} and ${withUnit(most, decimals, unit)}`;
}

export function LineChart(props: Props) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const drawn = useRef<Drawing | null>(null);
  const latest = useRef<LineSpec>(props);
  latest.current = props;
  const theme = themeInForce.value;

  useEffect(() => {
    let here = true;
    drawing.then(
      ({ drawLine }) => {
        if (here && canvas.current) drawn.current = drawLine(canvas.current, latest.current);
      },
      () => undefined,
    );
    return () => {
      here = false;
      drawn.current?.destroy();
      drawn.current = null;
    };
  }, []);

  useEffect(() => {
    drawn.current?.update(latest.current);
  }, [props.buckets, props.from, props.to, props.range?.low, props.range?.high, theme]);

  return (
    <div class="chart">
      <canvas ref={canvas} role="img" aria-label={inWords(props)} />
    </div>
  );
}
