import "./ending.mjs";
import "../../../.build/station/journal/reader-thread.js";
