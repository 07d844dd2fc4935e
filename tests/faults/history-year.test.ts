import { describeYear } from "../browser/year-suite.js";

/** All 90 million readings of a year at 1 s, made in some minutes. */
describeYear(1000, 3_600_000);
