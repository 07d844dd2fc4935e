import type { LotFigures } from "../../../station/model/decision.js";
import { figure } from "./figure.js";

const WIDTH = 600;
const LABEL = 166;
const LONGEST_NAME = 19;
const ROW = 44;
const RIGHT = 24;
/** How far dots of the same value stand apart. */
const STEP = 5;
const MOST_HIGH = 3;

/** A dot for each specimen in a row for each lot, with the mean and its limits as a bar. The table beside it has the numbers. */
export function Dots({ lots, words }: { lots: readonly LotFigures[]; words: readonly string[] | null }) {
  const all = lots.flatMap(({ values, lower, upper }) => [...values, lower, upper]).filter((v) => v !== null);
  if (all.length === 0) return null;
  const low = words === null ? Math.min(...all) : 0;
  const high = words === null ? Math.max(...all) : words.length - 1;
  const x = (value: number) =>
    LABEL + RIGHT + ((value - low) / (high - low || 1)) * (WIDTH - LABEL - 2 * RIGHT);
  const ticks = words === null ? [low, high] : words.map((_, grade) => grade);
  const height = lots.length * ROW + 24;
  return (
    <svg class="dots" viewBox={`0 0 ${WIDTH} ${height}`} aria-hidden="true">
      {lots.map(({ lot, name, values, mean, lower, upper }, row) => {
        const y = row * ROW + ROW / 2;
        const seen = new Map<number, number>();
        return (
          <g key={lot}>
            <text x={0} y={y + 5} class="dots-name">
              {name.length > LONGEST_NAME ? `${name.slice(0, LONGEST_NAME - 1)}…` : name}
            </text>
            <line x1={LABEL} x2={WIDTH} y1={y} y2={y} class="dots-line" />
            {values.map((value, i) => {
              const before = seen.get(value) ?? 0;
              seen.set(value, before + 1);
              const across = Math.floor(before / MOST_HIGH) * STEP;
              const up = ((before % MOST_HIGH) - 1) * STEP;
              return <circle key={i} cx={x(value) + across - 8} cy={y + up} r={3} class="dot" />;
            })}
            {lower !== null && upper !== null && (
              <line x1={x(lower)} x2={x(upper)} y1={y + 13} y2={y + 13} class="dots-limits" />
            )}
            {mean !== null && <line x1={x(mean)} x2={x(mean)} y1={y + 8} y2={y + 18} class="dots-limits" />}
          </g>
        );
      })}
      {ticks.map((tick) => (
        <text key={tick} x={x(tick)} y={height - 6} class="dots-tick">
          {words === null ? figure(tick) : words[tick]}
        </text>
      ))}
    </svg>
  );
}
