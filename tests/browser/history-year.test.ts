import { describeYear } from "./year-suite.js";

describeYear(120_000, 120_000);
