import "./asked.mjs";
import "../../../.build/station/journal/reader-thread.js";
