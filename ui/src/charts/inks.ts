import { PRIORITIES, type Priority } from "../../../station/model/alarm.js";
import { forcedColours } from "../shell/theme.js";

/** The colours in force where an element stands, as a canvas needs them. */
export interface Inks {
  readonly line: string;
  readonly secondLine: string;
  readonly spread: string;
  readonly band: string;
  readonly bandEdge: string;
  readonly grid: string;
  readonly words: string;
  readonly title: string;
  readonly sheet: string;
  readonly priority: Readonly<Record<Priority, string>>;
}

export function inksOf(element: Element): Inks {
  const style = getComputedStyle(element);
  if (forcedColours.value)
    return twoInks(style.color, getComputedStyle(document.documentElement).backgroundColor);
  const ink = (name: string) => style.getPropertyValue(name).trim();
  return {
    line: ink("--chart-line"),
    secondLine: ink("--edge"),
    spread: ink("--chart-spread"),
    band: ink("--chart-band"),
    bandEdge: ink("--chart-band-edge"),
    grid: ink("--chart-grid"),
    words: ink("--ink-2"),
    title: ink("--ink"),
    sheet: ink("--sheet"),
    priority: Object.fromEntries(PRIORITIES.map((each) => [each, ink(`--${each}-fill`)])) as Record<
      Priority,
      string
    >,
  };
}

/** Where a person has colours of their own a drawing has two: of letters, and of what they stand on. @param ink "rgb(r, g, b)" */
function twoInks(ink: string, sheet: string): Inks {
  const thin = (percent: number) =>
    ink.replace(/^rgb\((.*)\)$/, (_, rgb: string) => `rgba(${rgb}, ${percent / 100})`);
  return {
    ...{ line: ink, secondLine: ink, bandEdge: ink, words: ink, title: ink, sheet },
    ...{ spread: thin(30), band: thin(20), grid: thin(30) },
    priority: Object.fromEntries(PRIORITIES.map((each) => [each, ink])) as Record<Priority, string>,
  };
}
