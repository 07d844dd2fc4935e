import type { CautionsService } from "../../../station/web/routes/cautions.js";

/** An adviser without a word to say. */
export const NO_CAUTIONS: CautionsService = {
  cautions: [],
  statement: { short: "An adviser.", long: [] },
  neverCut: [],
  limits: [],
  checklists: {
    "before-first-cut": { id: "before-first-cut", title: "Before", items: [] },
    "after-last-cut": { id: "after-last-cut", title: "After", items: [] },
  },
  emergency: { facts: async () => ({}), put: async (value) => ({ value, kept: true }) },
  checked: async (id) => ({ value: { id, title: "", doneWall: null, due: false }, kept: true }),
};
