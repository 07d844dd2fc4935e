import { useRef } from "preact/hooks";
import type { RunConditionAnswer } from "../../../station/model/review.js";
import { useWidth } from "../history/width.js";
import { conditionText, isNumber } from "./words.js";

const HEIGHT = 80;
const LINE = 46;
const SIDE = 14;
/** Dots nearer than this, px, are put over each other. */
const NEAR = 7;
const MOST_HIGH = 4;
const STEP = 7;

interface Props {
  readonly answer: RunConditionAnswer;
  /** A range, drawn behind, and what it is; null for none. */
  readonly range: { readonly low: number; readonly high: number; readonly words: string } | null;
}

/** Comparable good runs as dots on a line, and this one among them; the words beneath say the same. */
export function Strip({ answer: { condition, unit, good, value }, range }: Props) {
  const frame = useRef<HTMLDivElement>(null);
  const width = useWidth(frame);
  const known = good.filter(isNumber);
  const here = isNumber(value) ? value : null;
  const all = [
    ...known,
    ...(here === null ? [] : [here]),
    ...(range === null ? [] : [range.low, range.high]),
  ];
  if (known.length === 0 && here === null) return null;
  const low = all.reduce((a, b) => Math.min(a, b));
  const high = all.reduce((a, b) => Math.max(a, b));
  const x = (at: number) =>
    high === low ? width / 2 : SIDE + ((at - low) / (high - low)) * (width - 2 * SIDE);
  const text = (at: number) => conditionText(condition, at, unit);
  return (
    <div class="strip-picture" ref={frame}>
      {width > 2 * SIDE && (
        <svg width={width} height={HEIGHT} viewBox={`0 0 ${width} ${HEIGHT}`} aria-hidden="true">
          {range !== null && (
            <rect
              class="strip-band"
              x={x(range.low)}
              width={Math.max(1, x(range.high) - x(range.low))}
              y={6}
              height={LINE}
            />
          )}
          <line class="dots-line" x1={0} x2={width} y1={LINE} y2={LINE} />
          {stacked(known.map(x)).map(({ at, up }, i) => (
            <circle key={i} class="dot" cx={at} cy={LINE - 5 - up * STEP} r={3} />
          ))}
          {here !== null && (
            <path class="strip-here" d={`M${x(here)} ${LINE + 1}l-7 12h14zM${x(here)} ${LINE}V8`} />
          )}
          <text x={0} y={HEIGHT - 2}>
            {text(low)}
          </text>
          {high !== low && (
            <text class="strip-end" x={width} y={HEIGHT - 2}>
              {text(high)}
            </text>
          )}
        </svg>
      )}
      <p class="soft">
        {known.length === 0
          ? "It is not known of any comparable run that was cut through. "
          : `Dots: ${known.length} comparable runs that were cut through. `}
        {here === null ? "Of this run it is not known." : `Arrow: this run, ${text(here)}.`}
        {range !== null && ` Grey: ${range.words}, ${text(range.low)} to ${text(range.high)}.`}
      </p>
    </div>
  );
}

/** Places with how many dots lie beneath each, from 0. */
function stacked(places: readonly number[]): { readonly at: number; readonly up: number }[] {
  const last: number[] = [];
  return [...places]
    .sort((a, b) => a - b)
    .map((at) => {
      const free = last.findIndex((before) => at - before >= NEAR);
      const up = free >= 0 ? free : last.length < MOST_HIGH ? last.length : last.length - 1;
      last[up] = at;
      return { at, up };
    });
}
