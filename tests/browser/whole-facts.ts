import type { PropertyId } from "../../station/model/grade.js";

export const CHECKS = ["optics", "spacer", "extraction", "coolant"];
export const SPEEDS = [10, 12, 14];
export const QUAYSIDE = "L1 Quayside board";
export const HARBOUR = "L2 Harbour board";

/** What is typed of each lot, and what the journal is to have of it. */
export const LOTS = [
  {
    typed: [
      [/^Product/, "Quayside board"],
      [/^Nominal thickness/, "3"],
      [/^Supplier/, "Weir Lane Timber"],
      [/^Sheet length/, "600"],
      [/^Sheet width/, "400"],
      [/^Price of a sheet/, "6,40"],
      [/^Delivery/, "12"],
    ],
    points: ["3,02", "3,05", "2,98"],
    facts: {
      ...{ product: "Quayside board", stock: "mdf", nominal_mm: 3, supplier: "Weir Lane Timber" },
      ...{ sheet_length_mm: 600, sheet_width_mm: 400, sheet_price: 6.4, delivery: 12 },
      thickness_mm: [3.02, 3.05, 2.98],
    },
  },
  {
    typed: [
      [/^Product/, "Harbour board"],
      [/^Nominal thickness/, "3"],
      [/^Sheet length/, "800"],
      [/^Sheet width/, "400"],
      [/^Price of a sheet/, "4.90"],
      [/^Delivery/, "18"],
    ],
    points: ["2.77", "2.75"],
    facts: {
      ...{ product: "Harbour board", stock: "mdf", nominal_mm: 3, thickness_mm: [2.77, 2.75] },
      ...{ sheet_length_mm: 800, sheet_width_mm: 400, sheet_price: 4.9, delivery: 18 },
    },
  },
] as const;

export const WORKSHOP = {
  ...{ part_length_mm: 100, part_width_mm: 50, gap_mm: 5, edge_mm: 5, cut_length_mm: 756 },
  ...{ currency: "€", laser_per_min: 0.1, finishing_per_min: 0.5, order_sheets: 10, margin_pct: 10 },
};

/** Fuzz by speed, so that neither lot is better in it. */
const FUZZ: Readonly<Record<string, readonly number[]>> = { [QUAYSIDE]: [0, 1, 2], [HARBOUR]: [1, 1, 1] };

export type Graded = readonly (readonly [property: PropertyId, value: number])[];

/** What the grader finds on a piece: in "Cut through" each Harbour piece is a grade worse than the Quayside one beside it. */
export function found(lot: string, speed: number, block: number): Graded {
  const worse = lot === HARBOUR ? 1 : 0;
  return [
    ["through", worse],
    ["back_fuzz", FUZZ[lot]?.[SPEEDS.indexOf(speed)] as number],
    ["finishing_min", 1 + worse + (block - 1) / 2],
  ];
}
