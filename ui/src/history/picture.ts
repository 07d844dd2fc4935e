import { inksOf } from "../charts/inks.js";
import { traceInk, traceStyle } from "../charts/traces.js";
import { stateWord, unitLabel } from "../words/number.js";
import type { Panel } from "./panels.js";

export interface PictureParts {
  readonly title: string;
  readonly span: string;
  readonly simulated: boolean;
  /** From top to bottom, each with the canvas it is drawn on. */
  readonly panels: readonly { readonly panel: Panel; readonly canvas: HTMLCanvasElement }[];
  /** What the marks and the band mean. */
  readonly notes: readonly string[];
}

const EDGE_PX = 16;
const TITLE_PX = 30;
const LINE_PX = 22;
const SAMPLE_PX = 30;
const FAMILY = "system-ui, sans-serif";

/** The panels as they stand, under a title, each with its legend and unit, as a PNG. Rejects where the browser cannot make one. */
export function pictureOf({ title, span, simulated, panels, notes }: PictureParts): Promise<Blob> {
  const [first] = panels;
  if (first === undefined) return Promise.reject(new Error("There is nothing to draw."));
  const inks = inksOf(first.canvas);
  const scale = first.canvas.width / Math.max(1, first.canvas.clientWidth);
  const width = first.canvas.clientWidth + 2 * EDGE_PX;
  const foot = notes.length * LINE_PX;
  const height =
    2 * EDGE_PX +
    TITLE_PX +
    LINE_PX * (simulated ? 2 : 1) +
    panels.reduce(
      (sum, { panel, canvas }) => sum + panel.channels.length * LINE_PX + canvas.clientHeight + 8,
      0,
    ) +
    foot;
  const picture = document.createElement("canvas");
  picture.width = Math.round(width * scale);
  picture.height = Math.round(height * scale);
  const ctx = picture.getContext("2d");
  if (ctx === null) return Promise.reject(new Error("This browser cannot draw."));
  ctx.scale(scale, scale);
  ctx.fillStyle = inks.sheet;
  ctx.fillRect(0, 0, width, height);
  ctx.textBaseline = "middle";

  let y = EDGE_PX;
  const line = (text: string, font: string, ink: string, tall = LINE_PX, x = EDGE_PX) => {
    ctx.font = `${font} ${FAMILY}`;
    ctx.fillStyle = ink;
    ctx.fillText(text, x, y + tall / 2, width - x - EDGE_PX);
    y += tall;
  };
  line(title, "bold 20px", inks.title, TITLE_PX);
  if (simulated) line("SIMULATED – no real sensor is behind these values", "bold 15px", inks.title);
  line(span, "15px", inks.words);
  for (const { panel, canvas } of panels) {
    panel.channels.forEach(({ name, kind }, place) => {
      ctx.strokeStyle = traceInk(place, inks);
      ctx.lineWidth = 2;
      ctx.setLineDash([...traceStyle(place).dash]);
      ctx.beginPath();
      ctx.moveTo(EDGE_PX, y + LINE_PX / 2);
      ctx.lineTo(EDGE_PX + SAMPLE_PX, y + LINE_PX / 2);
      ctx.stroke();
      const means = panel.state
        ? `${stateWord(kind, 0)} below, ${stateWord(kind, 1)} above`
        : unitLabel(panel.unit);
      line(`${name}, ${means}`, "600 15px", inks.title, LINE_PX, EDGE_PX + SAMPLE_PX + 8);
    });
    ctx.drawImage(canvas, EDGE_PX, y, canvas.clientWidth, canvas.clientHeight);
    y += canvas.clientHeight + 8;
  }
  for (const note of notes) line(note, "14px", inks.words);
  return new Promise((resolve, reject) => {
    picture.toBlob(
      (blob) => (blob ? resolve(blob) : reject(new Error("The picture is too large."))),
      "image/png",
    );
  });
}
