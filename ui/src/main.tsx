import { render } from "preact";
import { startBeat } from "./link/heard.js";
import { startLink } from "./link/live.js";
import { Shell } from "./shell/shell.js";
import { startTheme } from "./shell/theme.js";
import { startAnnunciator } from "./sound/annunciator.js";
import "./styles/ink.css";
import "./styles/base.css";
import "./styles/marks.css";
import "./styles/lost.css";
import "./styles/frame.css";
import "./styles/now.css";
import "./styles/coolant.css";
import "./styles/verdict.css";
import "./styles/runs.css";
import "./styles/history.css";
import "./styles/history-marks.css";
import "./styles/alarms.css";
import "./styles/safety.css";
import "./styles/forms.css";
import "./styles/widths.css";

startTheme();
startLink();
startBeat();
startAnnunciator();

const root = document.getElementById("app");
if (root) render(<Shell />, root);
