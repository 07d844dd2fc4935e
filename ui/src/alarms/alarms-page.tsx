import { useAsked } from "../link/asked.js";
import { now, standing, start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { AlarmCard } from "./alarm-card.js";
import { AlarmLog } from "./alarm-log.js";
import { askAlarms } from "./ask-alarms.js";
import { topFirst } from "./order.js";
import { SetAlarms } from "./set-alarms.js";
import { Suppressed } from "./suppressed.js";
import { ThisScreen } from "./this-screen.js";
import { WhoIsTold } from "./who-is-told.js";

export function AlarmsPage() {
  usePageTitle("Alarms");
  const { answer, refusal, again } = useAsked(start.value, askAlarms.all);
  // The live word is the later one; the answer only fills in until it is there.
  const alarms = now.value ? standing.value : (answer?.standing ?? []);
  const suppressed = now.value ? (now.value.suppressed ?? []) : (answer?.suppressed ?? []);
  const wall = now.value?.wall ?? Date.now();
  return (
    <div class="page">
      <h1>Alarms</h1>
      <section aria-labelledby="standing-title">
        <h2 id="standing-title">Standing</h2>
        {alarms.length === 0 ? (
          <p>No alarm is standing.</p>
        ) : (
          <div class="alarm-cards">
            {topFirst(alarms).map((alarm) => (
              <AlarmCard key={alarm.alarm} alarm={alarm} wall={wall} />
            ))}
          </div>
        )}
      </section>
      <Suppressed alarms={suppressed} />
      <p>
        <a class="way" href="/alarms/performance">
          How the alarms are doing
        </a>
      </p>
      <AlarmLog />
      <RefusalText refusal={refusal} again={again} />
      {answer && <SetAlarms definitions={answer.definitions} />}
      <WhoIsTold wall={wall} />
      <ThisScreen />
    </div>
  );
}
