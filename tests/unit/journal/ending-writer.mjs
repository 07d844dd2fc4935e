import "./ending.mjs";
import "../../../.build/station/journal/writer-thread.js";
