/**
 * Reads the material as a person typed it ("3mm MR-MDF", "p.v.c. sheet", "vinyl (PVC-free?)") into families of material.
 * Trade words only, no brands. Where the text leaves doubt, it is read for the worse: a warning too many costs a glance.
 */

export const MATERIAL_FAMILIES = [
  "chlorinated",
  "fluorinated",
  "cyanide-plastics",
  "composites",
  "melting-plastics",
  "treated-timber",
  "may-be-pvc",
  "leather",
  "board",
  "acrylic",
  "card",
  "wood",
] as const;
export type MaterialFamily = (typeof MATERIAL_FAMILIES)[number];

/** Families that are never cut: a text that says one is not in it ("PVC-free") still asks for its data sheet. */
const NEVER_CUT: ReadonlySet<MaterialFamily> = new Set([
  "chlorinated",
  "fluorinated",
  "cyanide-plastics",
  "composites",
  "melting-plastics",
  "treated-timber",
]);

export interface MaterialReading {
  readonly families: ReadonlySet<MaterialFamily>;
  /** Something that is never cut is named, but only to say that it is not in it. */
  readonly denied: boolean;
  /** Something was typed. */
  readonly named: boolean;
}

interface Words {
  /** Runs of whole words; they take their words out, so that "faux leather" is not leather as well. */
  readonly phrases?: readonly string[];
  readonly words?: readonly string[];
  /** Parts of a word: "pvc" is in "upvc". */
  readonly parts?: readonly string[];
}

const WORDS: Readonly<Record<MaterialFamily, Words>> = {
  chlorinated: {
    parts: ["pvc", "pvdc", "chlor"],
    words: ["vinyl", "vinyls", "polyvinyl", "neoprene", "cpe"],
  },
  fluorinated: {
    parts: ["fluoropolymer", "fluoroplastic", "fluoroelastomer", "fluoroethylene"],
    words: ["ptfe", "pvdf", "fep", "pfa", "fkm"],
  },
  "cyanide-plastics": {
    phrases: ["pc sheet", "pc plastic"],
    parts: ["polycarb", "polyurethan", "polyamid", "acrylonitril"],
    words: ["abs", "nylon", "pu", "pur"],
  },
  composites: {
    phrases: ["carbon fibre", "carbon fiber", "glass fibre", "glass fiber", "circuit board"],
    parts: ["fibreglass", "fiberglass", "epoxy"],
    words: ["grp", "gfrp", "cfrp", "fr4", "pcb"],
  },
  "melting-plastics": {
    phrases: ["foam board", "foam core"],
    parts: ["polystyr", "polyethyl", "polypropyl", "polythene", "foam"],
    words: ["hips", "eps", "xps", "hdpe", "ldpe", "pe", "pp", "petg", "styrene"],
  },
  "treated-timber": {
    phrases: ["pressure treated", "treated timber", "treated wood", "treated pine", "treated softwood"],
    words: ["cca"],
  },
  "may-be-pvc": {
    phrases: ["faux", "artificial", "imitation", "synthetic", "vegan", "eco", "pu"].map(
      (kind) => `${kind} leather`,
    ),
    words: ["leatherette", "pleather", "oilcloth", "leathercloth"],
  },
  leather: {
    phrases: ["chrome tanned", "chrome tan", "chromium tanned", "wet blue", "veg tan"],
    words: ["leather", "leathers", "hide", "suede", "nubuck"],
  },
  board: {
    parts: ["mdf", "hdf", "fibreboard", "fiberboard", "chipboard", "particleboard", "plywood", "hardboard"],
    words: ["ply", "osb"],
  },
  acrylic: { parts: ["acrylic", "methacrylat"], words: ["pmma"] },
  card: { parts: ["cardboard", "cardstock", "paperboard"], words: ["card", "paper", "corrugated", "kraft"] },
  wood: {
    parts: ["timber", "veneer", "hardwood", "softwood", "bamboo"],
    words: ["wood", "wooden", "cork", "balsa"],
  },
};

/** Woods by name count only where nothing else was recognised: "cherry" acrylic is not wood. */
const SPECIES =
  "ash alder beech birch cedar cherry elm fir larch lime limewood mahogany maple oak pine poplar sapele spruce sycamore teak walnut";
const SPECIES_WORDS: ReadonlySet<string> = new Set(SPECIES.split(" "));

/** Stands for punctuation that ends what was being said, so that "no, PVC" denies nothing. */
const BREAK = "|";

const NOTHING: MaterialReading = { families: new Set(), denied: false, named: false };

/** @param text as typed; undefined or blank where nobody said */
export function readMaterial(text: string | undefined): MaterialReading {
  const words = split(text ?? "");
  if (words.every((word) => word === BREAK)) return NOTHING;

  // "PVC-free?" asks, it does not say.
  const doubted = (text ?? "").includes("?");
  const families = new Set<MaterialFamily>();
  let denied = false;
  for (const { family, start, end } of mentions(words)) {
    if (doubted || !isDenied(words, start, end)) families.add(family);
    else if (NEVER_CUT.has(family)) denied = true;
  }
  if (families.size === 0 && words.some((word) => SPECIES_WORDS.has(word))) families.add("wood");
  return { families, denied, named: true };
}

function split(text: string): string[] {
  return (
    text
      .normalize("NFKC")
      .toLowerCase()
      .replace(/['’]/g, "")
      // "3mmMDF": the thickness is no part of the word.
      .replace(/\d+(?:[.,]\d+)?\s*(?:mm|cm)/g, " ")
      // "p.v.c." and "m d f" are one word each.
      .replace(/(?<![\p{L}\p{N}])(\p{L})[. ](?=\p{L}(?![\p{L}\p{N}]))/gu, "$1")
      .replace(/[^\p{L}\p{N}\s-]+/gu, ` ${BREAK} `)
      .split(/[\s-]+/)
      .filter((word) => word !== "")
  );
}

interface Mention {
  readonly family: MaterialFamily;
  /** Indices of its first word and of the one after its last. */
  readonly start: number;
  readonly end: number;
}

function mentions(words: readonly string[]): Mention[] {
  const found: Mention[] = [];
  const taken = new Set<number>();
  for (const family of MATERIAL_FAMILIES) {
    for (const phrase of WORDS[family].phrases ?? []) {
      const run = phrase.split(" ");
      for (let start = 0; start + run.length <= words.length; start += 1) {
        if (!run.every((word, i) => words[start + i] === word && !taken.has(start + i))) continue;
        for (let i = 0; i < run.length; i += 1) taken.add(start + i);
        found.push({ family, start, end: start + run.length });
      }
    }
  }
  words.forEach((written, i) => {
    if (taken.has(i) || isPlainVinyl(words, i)) return;
    // "poly-carbonate" and "poly carbonate" are one word to those who type them.
    const word = words[i - 1] === "poly" ? `poly${written}` : written;
    for (const family of MATERIAL_FAMILIES) {
      const { words: whole = [], parts = [] } = WORDS[family];
      if (whole.includes(word) || parts.some((part) => word.includes(part)))
        found.push({ family, start: i, end: i + 1 });
    }
  });
  return found;
}

/** Vinyl acetate and vinyl alcohol hold no chlorine. */
function isPlainVinyl(words: readonly string[], i: number): boolean {
  const next = words[i + 1];
  return (words[i] === "vinyl" || words[i] === "polyvinyl") && (next === "acetate" || next === "alcohol");
}

const DENYING: ReadonlySet<string> = new Set(["no", "non", "not", "without", "zero"]);
const CONTAINING: ReadonlySet<string> = new Set(["contain", "contains", "containing", "have"]);
const NOT: ReadonlySet<string> = new Set(["not", "doesnt", "never"]);

/** "PVC-free", "non-PVC", "no vinyl", "free of PVC", "does not contain PVC"; anything less plain denies nothing. */
function isDenied(words: readonly string[], start: number, end: number): boolean {
  const [before2 = BREAK, before = BREAK] = [words[start - 2], words[start - 1]];
  return (
    words[end] === "free" ||
    DENYING.has(before) ||
    ((before === "of" || before === "from") && before2 === "free") ||
    (CONTAINING.has(before) && NOT.has(before2))
  );
}
