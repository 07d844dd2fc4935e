/** Counts of what a source took and what it dropped, by why. Names of drops are chosen by the driver, so they are few. */
export class Tally {
  #accepted = 0;
  readonly #dropped = new Map<string, number>();

  accept(): void {
    this.#accepted += 1;
  }

  drop(why: string, count = 1): void {
    if (count > 0) this.#dropped.set(why, (this.#dropped.get(why) ?? 0) + count);
  }

  get accepted(): number {
    return this.#accepted;
  }

  get dropped(): Readonly<Record<string, number>> {
    return Object.fromEntries(this.#dropped);
  }
}
