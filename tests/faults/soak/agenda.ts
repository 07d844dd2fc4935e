/** What is to be done at which second of the soak, in order; also what is added while it goes on. */
export interface Agenda {
  add(atS: number, act: () => Promise<unknown> | unknown): void;
  isDue(nowS: number): boolean;
  /** Does all that is due by now. */
  keep(nowS: number): Promise<void>;
}

export function createAgenda(): Agenda {
  const all: { readonly atS: number; readonly act: () => Promise<unknown> | unknown }[] = [];
  const isDue = (nowS: number) => all[0] !== undefined && all[0].atS <= nowS;
  return {
    isDue,
    add(atS, act) {
      all.splice(all.findLastIndex((other) => other.atS <= atS) + 1, 0, { atS, act });
    },
    async keep(nowS) {
      while (isDue(nowS)) await all.shift()?.act();
    },
  };
}
