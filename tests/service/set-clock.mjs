/** Loaded before a station: its wall clock is off by as many milliseconds as the file of STATION_TEST_CLOCK says. */
import { readFileSync } from "node:fs";

const file = process.env.STATION_TEST_CLOCK;
const real = Date.now.bind(Date);
if (file !== undefined) Date.now = () => real() + Number(readFileSync(file, "utf8"));
