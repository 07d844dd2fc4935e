import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { CAUTIONS } from "../../../safety/cautions.js";
import { readMaterial } from "../../../safety/materials.js";
import { CAUTION_RULES, chooseCautions, MOST_CAUTIONS, type Situation } from "../../../safety/rules.js";

/** Nothing is cut, all is known and well. */
const QUIET: Situation = {
  material: undefined,
  runOpen: false,
  laserOn: false,
  extraction: "running",
  coolant: "in-range",
  condensationRisk: false,
  lidOpen: false,
  opticsCleanedHoursAgo: 20,
  secondsSinceRunEnd: null,
};
const CUTTING: Situation = { ...QUIET, runOpen: true, laserOn: true, material: "anodised aluminium" };

/** Per rule: situations in which it fires and in which it stays silent. */
const TABLE: Readonly<
  Record<string, { fires: Partial<Situation>[]; silent: Partial<Situation>[]; base?: Situation }>
> = {
  "lid-open-laser-on": {
    fires: [{ lidOpen: true, laserOn: true }],
    silent: [{ lidOpen: true }, { lidOpen: null, laserOn: true }, { laserOn: true }],
  },
  "material-chlorinated": {
    fires: [{ material: "PVC" }, { material: "vinyl", runOpen: true }],
    silent: [{ material: "PVC-free foil" }, { material: "acrylic" }, {}],
  },
  "material-fluorinated": {
    fires: [{ material: "PTFE" }],
    silent: [{ material: "fluorescent acrylic" }, {}],
  },
  "cutting-without-extraction": {
    fires: [
      { runOpen: true, extraction: "stopped" },
      { laserOn: true, extraction: "stopped" },
    ],
    silent: [{ extraction: "stopped" }, { runOpen: true, extraction: "unknown" }, { runOpen: true }],
  },
  "material-cyanide-plastics": {
    fires: [{ material: "ABS" }, { material: "polycarbonate" }],
    silent: [{ material: "slab" }],
  },
  "material-composites": { fires: [{ material: "carbon fibre" }], silent: [{ material: "carbon paper" }] },
  "material-treated-timber": { fires: [{ material: "treated timber" }], silent: [{ material: "timber" }] },
  "material-melting-plastics": { fires: [{ material: "HDPE" }], silent: [{ material: "PMMA" }] },
  "cutting-after-solvent": {
    fires: [{ runOpen: true, opticsCleanedHoursAgo: 0.1 }],
    silent: [
      { opticsCleanedHoursAgo: 0.1 },
      { runOpen: true, opticsCleanedHoursAgo: 0.2 },
      { runOpen: true },
    ],
  },
  condensation: { fires: [{ condensationRisk: true }], silent: [{}, { coolant: "out-of-range" }] },
  cutting: { fires: [{ runOpen: true }, { laserOn: true }], silent: [{}, { secondsSinceRunEnd: 1 }] },
  "material-unverified": {
    fires: [{ material: "PVC-free foil" }, { material: "faux leather" }],
    silent: [{ material: "PVC" }, { material: "leather" }, {}],
  },
  "extraction-unseen": {
    fires: [{ runOpen: true, extraction: "unknown" }],
    silent: [{ extraction: "unknown" }, { runOpen: true, extraction: "stopped" }],
  },
  "coolant-out-of-range": { fires: [{ coolant: "out-of-range" }], silent: [{}, { coolant: "unknown" }] },
  "coolant-unseen": {
    fires: [{ laserOn: true, coolant: "unknown" }],
    silent: [{ coolant: "unknown" }, { laserOn: true, coolant: "out-of-range" }],
  },
  "lid-opened-early": {
    fires: [{ lidOpen: true, secondsSinceRunEnd: 5 }],
    silent: [{ lidOpen: true, secondsSinceRunEnd: 120 }, { lidOpen: true }, { secondsSinceRunEnd: 5 }],
  },
  "extraction-stopped-early": {
    fires: [{ extraction: "stopped", secondsSinceRunEnd: 5 }],
    silent: [
      { extraction: "stopped" },
      { extraction: "stopped", secondsSinceRunEnd: 120 },
      { extraction: "unknown", secondsSinceRunEnd: 5 },
    ],
  },
  "fume-clearing": {
    fires: [{ secondsSinceRunEnd: 0 }, { secondsSinceRunEnd: 119 }],
    silent: [
      { secondsSinceRunEnd: 120 },
      { secondsSinceRunEnd: null },
      { secondsSinceRunEnd: 5, laserOn: true },
    ],
  },
  smouldering: {
    fires: [
      { secondsSinceRunEnd: 3599, material: "MDF" },
      { secondsSinceRunEnd: 5 },
      { secondsSinceRunEnd: 5, material: "oak" },
    ],
    silent: [
      { secondsSinceRunEnd: 3600, material: "MDF" },
      { secondsSinceRunEnd: 5, material: "acrylic" },
      {},
    ],
  },
  "optics-just-cleaned": {
    fires: [{ opticsCleanedHoursAgo: 0 }, { opticsCleanedHoursAgo: 0.4 }],
    silent: [{ opticsCleanedHoursAgo: 0.5 }, { opticsCleanedHoursAgo: null }],
  },
  "material-leather": { fires: [{ material: "leather" }], silent: [{ material: "faux leather" }] },
  "material-board": { fires: [{ material: "MDF" }, { material: "plywood" }], silent: [{ material: "oak" }] },
  "material-acrylic": { fires: [{ material: "acrylic" }], silent: [{ material: "MDF" }] },
  "material-card": { fires: [{ material: "greyboard card" }], silent: [{ material: "MDF" }] },
  "lid-open": {
    fires: [{ lidOpen: true }],
    silent: [{ lidOpen: true, laserOn: true }, { lidOpen: null }, {}],
  },
  "lid-open-supply": {
    fires: [{ lidOpen: true }],
    silent: [{ lidOpen: true, runOpen: true }, { lidOpen: null }],
  },
  "water-near-supply": { fires: [{ condensationRisk: true }], silent: [{}] },
  "idle-without-extraction": {
    fires: [{ extraction: "stopped" }],
    silent: [{ extraction: "stopped", runOpen: true }, { extraction: "unknown" }, {}],
  },
  extinguisher: { fires: [{ runOpen: true }], silent: [{}] },
  "material-wood": { fires: [{ material: "walnut" }], silent: [{ material: "walnut acrylic" }] },
  "material-unknown": {
    fires: [{ material: "anodised aluminium" }, { runOpen: true }],
    silent: [{ material: "MDF", runOpen: true }, {}],
  },
  "optics-long-ago": {
    fires: [{ opticsCleanedHoursAgo: 168 }],
    silent: [{ opticsCleanedHoursAgo: 167 }, { opticsCleanedHoursAgo: null }],
  },
  outdoors: { fires: [{ laserOn: true }], silent: [{}] },
  dust: {
    fires: [{ material: "MDF" }, { material: "acrylic" }],
    silent: [{ material: "MDF", runOpen: true }, {}],
  },
  housekeeping: { fires: [{}], silent: [{ runOpen: true }, { laserOn: true }] },
};

function holds(id: string, changes: Partial<Situation>): boolean {
  const rule = CAUTION_RULES.find((one) => one.id === id);
  if (rule === undefined) throw new Error(`there is no rule ${id}`);
  const situation = { ...QUIET, ...changes };
  const cutting = situation.runOpen || situation.laserOn;
  return rule.applies({ ...situation, cutting, made: readMaterial(situation.material) });
}
const shown = (changes: Partial<Situation>, base = QUIET) =>
  chooseCautions({ ...base, ...changes }).map(({ id }) => id);

describe("each rule", () => {
  it("has a row in the table, and an id of its own", () => {
    expect(CAUTION_RULES.map(({ id }) => id)).toEqual(Object.keys(TABLE));
  });

  const rows = Object.entries(TABLE);
  it.each(rows.flatMap(([id, { fires }]) => fires.map((changes) => [id, changes] as const)))(
    "%s fires at %j",
    (id, changes) => {
      expect(holds(id, changes)).toBe(true);
    },
  );
  it.each(rows.flatMap(([id, { silent }]) => silent.map((changes) => [id, changes] as const)))(
    "%s is silent at %j",
    (id, changes) => {
      expect(holds(id, changes)).toBe(false);
    },
  );

  it("stands among those as serious as its caution", () => {
    const seriousness = CAUTION_RULES.map(({ caution }) => CAUTIONS[caution].seriousness);
    expect(seriousness).toEqual(seriousness.toSorted());
  });
});

describe("what is shown", () => {
  it("while all is quiet: housekeeping", () => {
    expect(shown({})).toEqual(["fire-housekeeping"]);
  });

  it("while cutting: stay with it, first of all", () => {
    expect(shown({}, CUTTING)).toEqual(["fire-attend", "fire-ready", "fume-unknown"]);
    expect(shown({ material: "3 mm MDF" }, CUTTING)).toEqual(["fire-attend", "fume-board", "fire-ready"]);
  });

  it("while cutting without extraction: that above all", () => {
    expect(shown({ extraction: "stopped", material: "acrylic" }, CUTTING)).toEqual([
      "fume-extraction-stopped",
      "fire-attend",
      "fume-acrylic",
    ]);
  });

  it("before a cut of PVC: never", () => {
    expect(shown({ material: "clear PVC", extraction: "stopped" })).toEqual([
      "fume-chlorinated",
      "fume-extraction-first",
      "fire-housekeeping",
    ]);
  });

  it("with everything wrong at once: the three worst", () => {
    const worst: Situation = {
      material: "PVC and ABS on MDF",
      runOpen: true,
      laserOn: true,
      extraction: "stopped",
      coolant: "out-of-range",
      condensationRisk: true,
      lidOpen: true,
      opticsCleanedHoursAgo: 0,
      secondsSinceRunEnd: null,
    };
    expect(shown({}, worst)).toEqual(["laser-lid-open", "fume-chlorinated", "fume-extraction-stopped"]);
  });

  it("just after a cut of board", () => {
    expect(shown({ secondsSinceRunEnd: 30, material: "plywood" })).toEqual([
      "fume-run-on",
      "fire-smoulder",
      "fume-board",
    ]);
  });

  it("is one to three cautions, the most serious first, each once, in any situation", () => {
    const situation: fc.Arbitrary<Situation> = fc.record({
      material: fc.option(
        fc.constantFrom("MDF", "PVC", "PVC-free foil", "acrylic", "oak", "ABS foam", "leather", "x", ""),
        {
          nil: undefined,
        },
      ),
      runOpen: fc.boolean(),
      laserOn: fc.boolean(),
      extraction: fc.constantFrom("running", "stopped", "unknown"),
      coolant: fc.constantFrom("in-range", "out-of-range", "unknown"),
      condensationRisk: fc.boolean(),
      lidOpen: fc.option(fc.boolean()),
      opticsCleanedHoursAgo: fc.option(fc.double({ min: 0, max: 1000, noNaN: true })),
      secondsSinceRunEnd: fc.option(fc.double({ min: 0, max: 10_000, noNaN: true })),
    });
    fc.assert(
      fc.property(situation, (one) => {
        const cautions = chooseCautions(one);
        expect(cautions.length).toBeGreaterThanOrEqual(1);
        expect(cautions.length).toBeLessThanOrEqual(MOST_CAUTIONS);
        const seriousness = cautions.map((caution) => caution.seriousness);
        expect(seriousness).toEqual(seriousness.toSorted());
        expect(new Set(cautions.map(({ id }) => id)).size).toBe(cautions.length);
        if (one.lidOpen === true && one.laserOn) expect(cautions[0]?.id).toBe("laser-lid-open");
        if (one.material === "PVC") expect(cautions.map(({ id }) => id)).toContain("fume-chlorinated");
      }),
    );
  });
});
