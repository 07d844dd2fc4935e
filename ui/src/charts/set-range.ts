import type { Plugin } from "chart.js";
import type { Range } from "./axis.js";
import type { Inks } from "./inks.js";

/** The set range as a band behind the lines, with dashed edges. */
export function setRange(
  latest: () => { readonly range: Range | null; readonly inks: Inks },
): Plugin<"line"> {
  return {
    id: "set-range",
    beforeDatasetsDraw({ ctx, chartArea, scales }) {
      const { range, inks } = latest();
      const y = scales.y;
      if (range === null || y === undefined) return;
      const clamp = (v: number) => Math.min(chartArea.bottom, Math.max(chartArea.top, y.getPixelForValue(v)));
      const top = clamp(range.high);
      const bottom = clamp(range.low);
      ctx.save();
      ctx.fillStyle = inks.band;
      ctx.fillRect(chartArea.left, top, chartArea.width, bottom - top);
      ctx.strokeStyle = inks.bandEdge;
      ctx.setLineDash([5, 4]);
      for (const edge of [top, bottom]) {
        if (edge <= chartArea.top || edge >= chartArea.bottom) continue;
        ctx.beginPath();
        ctx.moveTo(chartArea.left, edge);
        ctx.lineTo(chartArea.right, edge);
        ctx.stroke();
      }
      ctx.restore();
    },
  };
}
