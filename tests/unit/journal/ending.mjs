/**
 * Makes the thread that imports this end itself once, at the moment that the file `end-at.json` in the journal's folder
 * names: { call, nth, when }, `when` being "before" the nth such call is carried out or "after", its answer unsent.
 */
import { existsSync, readFileSync, unlinkSync } from "node:fs";
import { join } from "node:path";
import { parentPort } from "node:worker_threads";

let plan = null;
let planFile = "";
let seen = 0;
let endAtAnswerTo = null;

function end() {
  unlinkSync(planFile);
  process.exit(9);
}

parentPort.on("message", ({ call, name, params }) => {
  if (name === "open") {
    planFile = join(params.folder, "end-at.json");
    if (existsSync(planFile)) plan = JSON.parse(readFileSync(planFile, "utf8"));
  }
  if (plan === null || name !== plan.call) return;
  seen++;
  if (seen !== plan.nth) return;
  if (plan.when === "before") end();
  endAtAnswerTo = call;
});

const post = parentPort.postMessage.bind(parentPort);
parentPort.postMessage = (message) => {
  if (endAtAnswerTo !== null && message.call === endAtAnswerTo) end();
  post(message);
};
