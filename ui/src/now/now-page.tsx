import { AlarmCard } from "../alarms/alarm-card.js";
import { topFirst } from "../alarms/order.js";
import { now } from "../link/live.js";
import { CautionNote } from "../safety/caution-card.js";
import { usePageTitle } from "../shell/page-title.js";
import { Found } from "../trials/wall/found.js";
import { TrialCard } from "../trials/wall/trial-card.js";
import { AfterCutCards } from "./after-cut.js";
import { Coolant } from "./coolant.js";
import { DueCheckLists } from "./due-checklists.js";
import { Checks, Extraction, FitToCut, Margin } from "./fitness.js";
import { JobTime } from "./job-time.js";
import { RunControl } from "./run-control.js";
import { Tiles } from "./tiles.js";
import { TopAlarm } from "./top-alarm.js";
import { Filter, Optics, StationTrouble } from "./upkeep.js";

const MOST_CAUTIONS = 3;

export function NowPage() {
  usePageTitle("Now");
  const seen = now.value;
  if (seen === null) {
    return (
      <div class="page">
        <h1>Now</h1>
        <p role="status">Waiting for the first word from the station.</p>
      </div>
    );
  }
  const otherAlarms = topFirst(seen.alarms).slice(1);
  return (
    <div class="now">
      <h1 class="unseen">Now</h1>
      <div class={seen.trial === null ? "vital" : "vital vital-trial"}>
        <TopAlarm now={seen} />
        {seen.trial !== null && <TrialCard now={seen} trial={seen.trial} />}
        <Coolant now={seen} />
        <div class="verdict">
          <FitToCut readiness={seen.readiness} />
          <div class="strips">
            <Extraction now={seen} />
            <Margin now={seen} />
          </div>
          <Checks readiness={seen.readiness} place="beside" />
          <RunControl now={seen} />
        </div>
      </div>
      {otherAlarms.length > 0 && (
        <section class="other-alarms" aria-labelledby="other-alarms-title">
          <h2 id="other-alarms-title">Other standing alarms</h2>
          {otherAlarms.map((alarm) => (
            <AlarmCard key={alarm.alarm} alarm={alarm} wall={seen.wall} />
          ))}
        </section>
      )}
      <AfterCutCards now={seen} />
      {seen.trial !== null && <Found sentences={seen.trial.found} />}
      <DueCheckLists lists={seen.checklists} />
      <StationTrouble now={seen} />
      <Tiles now={seen} />
      <JobTime now={seen} />
      <div class="pair">
        <Checks readiness={seen.readiness} place="below" />
        <Optics now={seen} />
        <Filter now={seen} />
      </div>
      {seen.cautions.length > 0 && (
        <section class="card" aria-labelledby="cautions-title">
          <h2 id="cautions-title">Cautions that apply now</h2>
          <ul class="caution-notes">
            {seen.cautions.slice(0, MOST_CAUTIONS).map((caution) => (
              <CautionNote key={caution.id} caution={caution} />
            ))}
          </ul>
          <p>
            <a class="more-cautions" href="/safety">
              All cautions with their sources
            </a>
          </p>
        </section>
      )}
    </div>
  );
}
