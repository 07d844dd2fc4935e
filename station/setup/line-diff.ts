/** A run of lines that two texts have in common, or that only the earlier or only the later one has. */
export interface DiffPart {
  readonly what: "same" | "removed" | "added";
  readonly lines: readonly string[];
}

/**
 * The difference of two texts by whole lines, with the fewest lines removed and added (longest common subsequence; Hunt and
 * McIlroy, An Algorithm for Differential File Comparison, Bell Laboratories, 1976, for the idea). What is removed stands
 * before what is added in its place. Time and memory grow with the product of the two lengths: for files of settings.
 */
export function lineDiff(before: readonly string[], after: readonly string[]): readonly DiffPart[] {
  const [n, m] = [before.length, after.length];
  // common[i][j]: the most lines that before from i on and after from j on have in common.
  const common = Array.from({ length: n + 1 }, () => new Uint32Array(m + 1));
  const at = (i: number, j: number) => common[i]?.[j] ?? 0;
  for (let i = n - 1; i >= 0; i -= 1) {
    const row = common[i] as Uint32Array;
    for (let j = m - 1; j >= 0; j -= 1) {
      row[j] = before[i] === after[j] ? at(i + 1, j + 1) + 1 : Math.max(at(i + 1, j), at(i, j + 1));
    }
  }
  const parts: { what: DiffPart["what"]; lines: string[] }[] = [];
  const tell = (what: DiffPart["what"], line: string) => {
    const last = parts.at(-1);
    if (last?.what === what) last.lines.push(line);
    else parts.push({ what, lines: [line] });
  };
  let [i, j] = [0, 0];
  while (i < n || j < m) {
    const [mine, other] = [before[i], after[j]];
    if (mine !== undefined && mine === other) {
      tell("same", mine);
      i += 1;
      j += 1;
    } else if (mine !== undefined && (other === undefined || at(i + 1, j) >= at(i, j + 1))) {
      tell("removed", mine);
      i += 1;
    } else {
      tell("added", other as string);
      j += 1;
    }
  }
  return parts;
}
