import { useRef } from "preact/hooks";
import type { DriftAnswer, DriftPoint } from "../../../station/model/review.js";
import { figure } from "../decision/figure.js";
import { useWidth } from "../history/width.js";
import { dateText } from "../words/time.js";
import { axisTicks } from "./ticks.js";
import { isNumber } from "./words.js";

const HEIGHT = 280;
const LEFT = 44;
const RIGHT = 14;
const TOP = 26;
const FOOT = 30;

/** The speed that still cut, each time the reference was cut, with the chart's mean, its limits, and upkeep. */
export function DriftChart({ answer, today }: { answer: DriftAnswer; today: number }) {
  const frame = useRef<HTMLDivElement>(null);
  const width = useWidth(frame);
  const points = answer.points.filter(({ wall, speed_mm_s }) => isNumber(wall) && isNumber(speed_mm_s));
  if (points.length === 0) return null;
  const values = points
    .flatMap(({ speed_mm_s, mean, lower, upper }) => [speed_mm_s, mean, lower, upper])
    .filter(isNumber);
  const [low, high] = widened(
    values.reduce((a, b) => Math.min(a, b)),
    values.reduce((a, b) => Math.max(a, b)),
  );
  const [from, to] = [points[0]?.wall ?? 0, points.at(-1)?.wall ?? 0];
  const x = (wall: number) =>
    to === from ? (width + LEFT - RIGHT) / 2 : LEFT + ((wall - from) / (to - from)) * (width - LEFT - RIGHT);
  const y = (speed: number) => TOP + (1 - (speed - low) / (high - low)) * (HEIGHT - TOP - FOOT);
  const marks = answer.marks.filter(({ wall }) => wall >= from && wall <= to);
  const path = (of: (point: DriftPoint) => number | null) => pathOf(points, of, x, y);
  return (
    <div class="strip-picture" ref={frame}>
      {width > LEFT + RIGHT && (
        <svg width={width} height={HEIGHT} viewBox={`0 0 ${width} ${HEIGHT}`} aria-hidden="true">
          {axisTicks(low, high, 5).map((tick) => (
            <g key={tick}>
              <line class="dots-line" x1={LEFT} x2={width - RIGHT} y1={y(tick)} y2={y(tick)} />
              <text class="axis-side" x={LEFT - 6} y={y(tick) + 5}>
                {figure(tick)}
              </text>
            </g>
          ))}
          {marks.map(({ wall }, i) => (
            <g key={i}>
              <line class="drift-mark" x1={x(wall)} x2={x(wall)} y1={TOP - 4} y2={HEIGHT - FOOT} />
              <text class="axis-tick" x={x(wall)} y={TOP - 8}>
                {i + 1}
              </text>
            </g>
          ))}
          <path class="drift-limit" d={path(({ lower }) => lower)} />
          <path class="drift-limit" d={path(({ upper }) => upper)} />
          <path class="drift-mean" d={path(({ mean }) => mean)} />
          {points.map(({ wall, speed_mm_s, signals }, i) =>
            signals ? (
              <path key={i} class="drift-signal" d={`M${x(wall)} ${y(speed_mm_s) - 7}l7 7-7 7-7-7z`} />
            ) : (
              <circle key={i} class="dot" cx={x(wall)} cy={y(speed_mm_s)} r={3.5} />
            ),
          )}
          <text x={LEFT} y={HEIGHT - 8}>
            {dateText(from, today)}
          </text>
          {to !== from && (
            <text class="strip-end" x={width - RIGHT} y={HEIGHT - 8}>
              {dateText(to, today)}
            </text>
          )}
        </svg>
      )}
      <p class="soft">
        mm/s. Dots: the speed that still cut. Thick line: their weighted mean. Broken lines: the limits it
        stays within as long as nothing changes. Diamonds: where one of the two charts signals.
        {marks.length > 0 && " Numbered strokes: upkeep."}
      </p>
      {marks.length > 0 && (
        <ol class="drift-marks">
          {marks.map(({ wall, what }) => (
            <li key={`${wall} ${what}`}>
              {what}, {dateText(wall, today)}
            </li>
          ))}
        </ol>
      )}
    </div>
  );
}

/** Some room above and below; a speed that never changed has room too. */
function widened(low: number, high: number): [number, number] {
  const room = high === low ? Math.max(1, Math.abs(high) * 0.05) : (high - low) * 0.08;
  return [low - room, high + room];
}

/** Broken off where there is no value. */
function pathOf(
  points: readonly DriftPoint[],
  of: (point: DriftPoint) => number | null,
  x: (wall: number) => number,
  y: (speed: number) => number,
): string {
  let drawing = false;
  return points
    .map((point) => {
      const value = of(point);
      if (!isNumber(value)) {
        drawing = false;
        return "";
      }
      const piece = `${drawing ? "L" : "M"}${x(point.wall)} ${y(value)}`;
      drawing = true;
      return piece;
    })
    .join("");
}
