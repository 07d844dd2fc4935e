/** Values of two lots that were cut in one block, and so under the same conditions. */
export interface Block {
  readonly first: readonly number[];
  readonly second: readonly number[];
}
