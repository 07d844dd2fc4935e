import { useEffect, useRef } from "preact/hooks";
import { LocationProvider, Route, Router, useLocation } from "preact-iso/router";
import { AccessPage } from "../access/access-page.js";
import { DeedsPage } from "../access/deeds-page.js";
import { signedOut } from "../access/me.js";
import { PairPage } from "../access/pair-page.js";
import { PinPage } from "../access/pin-page.js";
import { SignInPage } from "../access/sign-in-page.js";
import { AlarmsPage } from "../alarms/alarms-page.js";
import { AlarmPerformancePage } from "../alarms/performance-page.js";
import { AlarmSettingPage } from "../alarms/setting-page.js";
import { CoolantPage } from "../coolant/coolant-page.js";
import { DecisionPage } from "../decision/decision-page.js";
import { SettingsSheetPage } from "../decision/sheet-page.js";
import { goesOnAlone } from "../grading/addresses.js";
import { GradePage } from "../grading/grade-page.js";
import { SpecimenPage } from "../grading/specimen-page.js";
import { HistoryPage } from "../history/history-page.js";
import { JournalPage } from "../journal/journal-page.js";
import { GreyCardPage } from "../lightness/grey-card-page.js";
import { LightnessPage } from "../lightness/lightness-page.js";
import { ask } from "../link/ask.js";
import { lost } from "../link/heard.js";
import { start } from "../link/live.js";
import { NowPage } from "../now/now-page.js";
import { PastRunsPage } from "../past/past-runs-page.js";
import { BadRunPage } from "../review/bad-run-page.js";
import { DriftPage } from "../review/drift-page.js";
import { MaterialsPage } from "../review/materials-page.js";
import { MethodPage } from "../review/method-page.js";
import { ReviewPage } from "../review/review-page.js";
import { RunPage } from "../runs/run-page.js";
import { RunsPage } from "../runs/runs-page.js";
import { CheckListPage } from "../safety/checklist-page.js";
import { SafetyPage } from "../safety/safety-page.js";
import { CalibratePage } from "../setup/calibrate-page.js";
import { SetupPage } from "../setup/setup-page.js";
import { LabelsPage } from "../trials/labels/labels-page.js";
import { LotPage, NewLotPage } from "../trials/lots/lot-page.js";
import { LotsPage } from "../trials/lots/lots-page.js";
import { MakePage } from "../trials/make/make-page.js";
import { PlanPage } from "../trials/plan/plan-page.js";
import { PlansPage } from "../trials/plans/plans-page.js";
import { Voice } from "../voice/voice.js";
import { WorkshopPage } from "../workshop/workshop-page.js";
import { useArrival } from "./arrival.js";
import { Bar } from "./bar.js";
import { BrokenPage } from "./broken-page.js";
import { LostStation } from "./lost-station.js";
import { Notices } from "./notices.js";
import { shortStatement } from "./statement.js";

function Nowhere() {
  return (
    <div class="page">
      <h1>There is no page at this address</h1>
      <p>
        <a class="way" href="/">
          Go to Now
        </a>
      </p>
    </div>
  );
}

function Frame() {
  const { path } = useLocation();
  const main = useRef<HTMLElement>(null);
  // Grading goes on without the station: it says so in the page, and lies over nothing.
  const alone = goesOnAlone(path);
  // Whoever has not signed in sees the way to do so in the place of any page, and then that page.
  const away = signedOut.value && !alone && path !== "/pair";
  const covered = lost.value && !alone && !signedOut.value;
  // Signing in puts another page in the place of the one at this address.
  useArrival(`${path} ${away}`, main);
  // On `start`, so that a station with another wording is believed after its restart.
  useEffect(() => {
    if (start.value === "") return;
    ask.cautions().then(
      ({ statement }) => {
        shortStatement.value = statement.short;
      },
      () => undefined,
    );
  }, [start.value]);
  return (
    <>
      <Voice />
      <div class={covered ? "frame frame-lost" : "frame"} inert={covered}>
        <a class="skip" href="#page">
          Skip to the page
        </a>
        <Bar />
        <Notices />
        <main class="main" id="page" ref={main} tabIndex={-1}>
          {away ? (
            <SignInPage />
          ) : (
            <Router>
              <Route path="/access" component={AccessPage} />
              <Route path="/deeds" component={DeedsPage} />
              <Route path="/sign-in" component={SignInPage} />
              <Route path="/pin" component={PinPage} />
              <Route path="/pair" component={PairPage} />
              <Route path="/" component={NowPage} />
              <Route path="/runs" component={RunsPage} />
              <Route path="/runs/:id" component={RunPage} />
              <Route path="/s/:code/photo/:photo" component={LightnessPage} />
              <Route path="/grey-card" component={GreyCardPage} />
              <Route path="/past-runs" component={PastRunsPage} />
              <Route path="/plans" component={PlansPage} />
              <Route path="/plans/new" component={MakePage} />
              <Route path="/plans/:id" component={PlanPage} />
              <Route path="/plans/:id/labels" component={LabelsPage} />
              <Route path="/lots" component={LotsPage} />
              <Route path="/lots/new" component={NewLotPage} />
              <Route path="/lots/:id" component={LotPage} />
              <Route path="/history" component={HistoryPage} />
              <Route path="/coolant" component={CoolantPage} />
              <Route path="/alarms" component={AlarmsPage} />
              <Route path="/alarms/performance" component={AlarmPerformancePage} />
              <Route path="/alarms/settings/:id" component={AlarmSettingPage} />
              <Route path="/safety" component={SafetyPage} />
              <Route path="/checklists/:id" component={CheckListPage} />
              <Route path="/journal" component={JournalPage} />
              <Route path="/grade" component={GradePage} />
              <Route path="/s/:code" component={SpecimenPage} />
              <Route path="/plans/:id/decision" component={DecisionPage} />
              <Route path="/settings-sheet/:lot" component={SettingsSheetPage} />
              <Route path="/workshop" component={WorkshopPage} />
              <Route path="/setup" component={SetupPage} />
              <Route path="/calibrate" component={CalibratePage} />
              <Route path="/review" component={ReviewPage} />
              <Route path="/review/runs/:id" component={BadRunPage} />
              <Route path="/review/materials" component={MaterialsPage} />
              <Route path="/review/drift" component={DriftPage} />
              <Route path="/review/method" component={MethodPage} />
              <Route default component={Nowhere} />
            </Router>
          )}
          <footer class="footer">
            <p>{shortStatement.value}</p>
          </footer>
        </main>
      </div>
      {covered && <LostStation />}
    </>
  );
}

export function Shell() {
  return (
    <LocationProvider>
      <BrokenPage>
        <Frame />
      </BrokenPage>
    </LocationProvider>
  );
}
