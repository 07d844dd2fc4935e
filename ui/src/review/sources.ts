/** Published, of the arithmetic of review; the references are from memory, as in the station's own code. */
export const SOURCES: readonly { readonly what: string; readonly source: string }[] = [
  {
    what: "Whether a cut goes through, with few that do not",
    source: "D. Firth, “Bias reduction of maximum likelihood estimates”, Biometrika 80, 1993, pp. 27 to 38",
  },
  {
    what: "Its tests and limits",
    source:
      "G. Heinze and M. Schemper, “A solution to the problem of separation in logistic regression”, Statistics in Medicine 21, 2002, pp. 2409 to 2419",
  },
  {
    what: "What a condition does as a share of speed",
    source:
      "E. C. Fieller, “Some problems in interval estimation”, Journal of the Royal Statistical Society B 16, 1954, pp. 175 to 185",
  },
  {
    what: "What would have failed all the same",
    source: "P. Cole and B. MacMahon, “Attributable risk percent in case-control studies”, 1971",
  },
  {
    what: "Means whose spreads differ",
    source:
      "B. L. Welch, “The generalization of Student's problem when several different population variances are involved”, Biometrika 34, 1947, pp. 28 to 35",
  },
  {
    what: "Several questions at once",
    source:
      "S. Holm, “A simple sequentially rejective multiple test procedure”, Scandinavian Journal of Statistics 6, 1979, pp. 65 to 70",
  },
  {
    what: "The place of one run among others",
    source: "V. Vovk, A. Gammerman and G. Shafer, Algorithmic Learning in a Random World, 2005",
  },
  {
    what: "Pieces of one block held against each other",
    source: "R. A. Fisher, The Design of Experiments, 1935",
  },
  {
    what: "A running mean and its limits",
    source:
      "S. W. Roberts, “Control chart tests based on geometric moving averages”, Technometrics 1, 1959, pp. 239 to 250",
  },
  {
    what: "When a change began",
    source: "E. S. Page, “Continuous inspection schemes”, Biometrika 41, 1954, pp. 100 to 115",
  },
];
