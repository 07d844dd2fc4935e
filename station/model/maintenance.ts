/** What is done to the machine, in the trade's words. The ids are kept for ever. */
export const MAINTENANCE = {
  "optics-cleaned": "Mirrors and lens cleaned",
  "lens-swapped": "Lens swapped",
  "mirrors-aligned": "Mirrors aligned",
  "coolant-changed": "Coolant changed",
  "filter-changed": "Filter changed",
  "belt-adjusted": "Belt adjusted or changed",
  "tube-replaced": "Tube replaced",
  "bed-cleaned": "Bed cleaned",
  other: "Something else",
} as const;
export type MaintenanceKind = keyof typeof MAINTENANCE;
export const MAINTENANCE_KINDS = Object.keys(MAINTENANCE) as [MaintenanceKind, ...MaintenanceKind[]];

export interface MaintenanceRow {
  readonly id: number;
  readonly kind: string;
  readonly wall: number;
  readonly note: string;
}

/** When a kind was last done before a moment, and how long the laser was on from then to that moment. */
export interface Upkeep {
  readonly kind: MaintenanceKind;
  readonly wall: number;
  readonly note: string;
  /** Hours of beam, as far as a laser-on input tells; of a run without one its whole length counts. */
  readonly laserHours: number;
}

export interface MaintenanceView {
  /** Of each kind that was ever done, the last. */
  readonly last: readonly Upkeep[];
  /** Newest first, at most 200. */
  readonly log: readonly MaintenanceRow[];
}
