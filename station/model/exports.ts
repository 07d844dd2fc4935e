/** What is being sent of the journal as a file: one at a time. */
export interface ExportsView {
  readonly running: boolean;
  /** Why the last one was refused or broke off on this side, for people; null where it did not. */
  readonly trouble: string | null;
}
