import type { CheckStep, PartName } from "./check.js";

const WORDS: Readonly<Record<PartName, string>> = {
  groups: "Groups of sealed readings",
  blocks: "Sealed readings",
  pages: "Rollups wider than a minute",
  newest: "Newest readings",
};

export interface Progress {
  say(line: string): void;
  step(step: CheckStep): void;
}

/** Says how far a long look has come, at each tenth of each part. */
export function createProgress(write: (line: string) => void): Progress {
  let part: PartName | null = null;
  let told = 0;
  return {
    say: (line) => write(`${line}\n`),
    step(step) {
      if (step.part !== part) {
        part = step.part;
        told = 0;
      }
      const tenth = step.of === 0 ? 10 : Math.floor((10 * step.done) / step.of);
      if (tenth <= told) return;
      told = tenth;
      write(`${WORDS[step.part]}: ${tenth * 10} %\n`);
    },
  };
}
