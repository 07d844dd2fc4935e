import { useLocation } from "preact-iso/router";
import type { Priority } from "../../../station/model/alarm.js";
import { WhoAmI } from "../access/who-am-i.js";
import { topFirst } from "../alarms/order.js";
import { now, standing } from "../link/live.js";
import { PriorityShape } from "../marks/priority.js";
import { Sign, type SignName } from "../marks/signs.js";
import { testSound } from "../sound/annunciator.js";
import { nextTheme, type ThemeChoice, themeChoice } from "./theme.js";

interface NavEntry {
  readonly path: string;
  readonly word: string;
  readonly sign: SignName;
  /** Other pages that are found under it. */
  readonly also?: readonly string[];
}

const ENTRIES: readonly NavEntry[] = [
  { path: "/", word: "Now", sign: "now", also: ["/coolant"] },
  { path: "/runs", word: "Runs", sign: "runs" },
  {
    path: "/plans",
    word: "Trials",
    sign: "trials",
    also: [
      "/lots",
      "/grade",
      "/s",
      "/settings-sheet",
      "/workshop",
      "/setup",
      "/calibrate",
      "/past-runs",
      "/grey-card",
    ],
  },
  { path: "/review", word: "Review", sign: "review" },
  { path: "/history", word: "History", sign: "history" },
  { path: "/alarms", word: "Alarms", sign: "alarms" },
  { path: "/safety", word: "Safety", sign: "safety", also: ["/checklists"] },
  { path: "/journal", word: "Journal", sign: "journal" },
];

const THEME_WORDS: Readonly<Record<ThemeChoice, { readonly sign: SignName; readonly words: string }>> = {
  system: { sign: "system", words: "Colours: as the device" },
  light: { sign: "light", words: "Colours: light" },
  dark: { sign: "dark", words: "Colours: dark" },
};

function AlarmCount() {
  const alarms = standing.value;
  const worst: Priority | undefined = topFirst(alarms)[0]?.priority;
  if (worst === undefined) return null;
  return (
    <span class="count">
      <PriorityShape priority={worst} />
      <span>{alarms.length}</span>
      <span class="unseen"> standing</span>
    </span>
  );
}

export function Bar() {
  const { path } = useLocation();
  const theme = THEME_WORDS[themeChoice.value];
  return (
    <header class="bar">
      <p class="station-name">{now.value?.stationName ?? "Workshop station"}</p>
      <nav class="nav" aria-label="Pages">
        <ul>
          {ENTRIES.map(({ path: to, word, sign, also = [] }) => {
            const under = (page: string) => path === page || path.startsWith(`${page}/`);
            const here = (to === "/" ? path === "/" : under(to)) || also.some(under);
            return (
              <li key={to}>
                <a href={to} aria-current={here ? "page" : undefined}>
                  <Sign name={sign} />
                  <span>{word}</span>
                  {to === "/alarms" && <AlarmCount />}
                </a>
              </li>
            );
          })}
        </ul>
      </nav>
      <div class="bar-tools">
        <WhoAmI />
        <button type="button" class="tool" data-testid="sound-test" onClick={() => void testSound()}>
          <Sign name="sound" />
          <span class="tool-word">Test sound</span>
        </button>
        <button type="button" class="tool" data-testid="theme" onClick={nextTheme} title={theme.words}>
          <Sign name={theme.sign} />
          <span class="unseen">{theme.words}. Change.</span>
        </button>
      </div>
    </header>
  );
}
