import { useRef } from "preact/hooks";
import type { MaterialSpeed } from "../../../station/model/review.js";
import { figure } from "../decision/figure.js";
import { useWidth } from "../history/width.js";
import { axisTicks } from "./ticks.js";
import { isNumber } from "./words.js";

const ROW = 136;
const TOP = 34;
const SIDE = 16;
const FOOT = 26;
const STEP = 7;
const MOST_HIGH = 5;

/** The cuts of two stocks along the speed: above the line those that went through, below it those that did not. */
export function SpeedAxis({ speeds }: { speeds: readonly MaterialSpeed[] }) {
  const frame = useRef<HTMLDivElement>(null);
  const width = useWidth(frame);
  const all = speeds
    .flatMap(({ cuts, estimate, lower, upper }) => [
      ...cuts.map(({ speed_mm_s }) => speed_mm_s),
      ...[estimate, lower, upper],
    ])
    .filter(isNumber);
  const cut = speeds.flatMap(({ cuts }) => cuts.map(({ speed_mm_s }) => speed_mm_s)).filter(isNumber);
  if (cut.length === 0) return null;
  const [slowest, fastest] = [cut.reduce((a, b) => Math.min(a, b)), cut.reduce((a, b) => Math.max(a, b))];
  // Limits may be far beyond all that was cut: they are drawn to the edge.
  const low = Math.max(
    all.reduce((a, b) => Math.min(a, b)),
    slowest / 2,
  );
  const high = Math.min(
    all.reduce((a, b) => Math.max(a, b)),
    fastest * 2,
  );
  const x = (speed: number) => {
    const share = high === low ? 0.5 : (Math.min(high, Math.max(low, speed)) - low) / (high - low);
    return SIDE + share * (width - 2 * SIDE);
  };
  const height = speeds.length * ROW + FOOT;
  return (
    <div class="strip-picture" ref={frame}>
      {width > 2 * SIDE && (
        <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
          {speeds.map((stock, row) => {
            const line = row * ROW + TOP + 40;
            return (
              <g key={row}>
                <text x={0} y={row * ROW + 15} class="axis-name">
                  {stock.name}
                </text>
                <line class="dots-line" x1={0} x2={width} y1={line} y2={line} />
                <Threshold stock={stock} x={x} line={line} />
                {pilesOf(stock.cuts).map(({ speed, through, count }) => (
                  <Pile key={`${speed} ${through}`} {...{ through, count, line }} at={x(speed)} />
                ))}
              </g>
            );
          })}
          {axisTicks(low, high, Math.max(2, Math.floor(width / 90))).map((tick) => (
            <g key={tick}>
              <line
                class="dots-line"
                x1={x(tick)}
                x2={x(tick)}
                y1={height - FOOT - 4}
                y2={height - FOOT + 2}
              />
              <text class="axis-tick" x={x(tick)} y={height - 8}>
                {figure(tick)}
              </text>
            </g>
          ))}
        </svg>
      )}
      <p class="soft">
        mm/s. Dots above a line: cut through. Crosses below it: not. A number says how many there are, where
        they are more. The upright stroke is the speed at which half the cuts go through, the thick bar its
        limits of 95 %.
      </p>
    </div>
  );
}

function Threshold({
  stock: { estimate, lower, upper },
  x,
  line,
}: {
  stock: MaterialSpeed;
  x: (speed: number) => number;
  line: number;
}) {
  if (!isNumber(estimate)) return null;
  const from = x(isNumber(lower) ? lower : 0);
  const to = x(isNumber(upper) ? upper : Number.MAX_VALUE);
  return (
    <>
      <line class="dots-limits" x1={from} x2={to} y1={line} y2={line} />
      <line class="dots-limits" x1={x(estimate)} x2={x(estimate)} y1={line - 36} y2={line + 34} />
    </>
  );
}

/** Cuts of the same speed and outcome, over each other as far as there is room, and how many where there is not. */
function Pile({ at, line, through, count }: { at: number; line: number; through: boolean; count: number }) {
  const shown = Math.min(count, MOST_HIGH);
  const y = (up: number) => (through ? line - 6 - up * STEP : line + 7 + up * STEP);
  return (
    <>
      {Array.from({ length: shown }, (_, up) =>
        through ? (
          <circle key={up} class="dot" cx={at} cy={y(up)} r={3} />
        ) : (
          <path key={up} class="cross" d={crossAt(at, y(up))} />
        ),
      )}
      {count > shown && (
        <text class="axis-count" x={at} y={through ? y(shown) + 1 : y(shown) + 8}>
          {count}
        </text>
      )}
    </>
  );
}

function crossAt(x: number, y: number): string {
  return `M${x - 3} ${y - 3}l6 6M${x + 3} ${y - 3}l-6 6`;
}

function pilesOf(cuts: MaterialSpeed["cuts"]) {
  const piles = new Map<string, { speed: number; through: boolean; count: number }>();
  for (const { speed_mm_s: speed, through } of cuts) {
    if (!isNumber(speed)) continue;
    const key = `${speed} ${through}`;
    const count = (piles.get(key)?.count ?? 0) + 1;
    piles.set(key, { speed, through, count });
  }
  return [...piles.values()];
}
