import { useEffect, useState } from "preact/hooks";
import type { OutwardView, WayTest, WayView } from "../../../station/model/outward.js";
import { ask } from "../link/ask.js";
import { useDoing, useFollowed } from "../link/asked.js";
import { standing, start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { Sign } from "../marks/signs.js";
import { screenName } from "../shell/screen-name.js";
import { ageText, isoText, whenText } from "../words/time.js";

/** While a message waits, how it stands changes. */
const ASK_AGAIN_MS = 5_000;

const WAY_NAMES: Readonly<Record<WayView["way"], string>> = {
  mail: "Mail",
  mqtt: "MQTT",
  webhook: "Webhook",
};

function prioritiesText({ priorities }: WayView): string {
  if (priorities.length === 4) return "every alarm";
  return `alarms of priority ${new Intl.ListFormat("en", { type: "disjunction" }).format(priorities)}`;
}

function waitingText({ waiting, oldestWall, nextTryMs, quiet }: WayView, wall: number): string {
  if (waiting === 0) return "nothing";
  const count = `${waiting} ${waiting === 1 ? "message" : "messages"}`;
  const since = oldestWall === null ? "" : `, for ${ageText(Math.max(0, wall - oldestWall))}`;
  const next = nextTryMs === null ? "" : `; the next try in ${ageText(nextTryMs)}`;
  return `${count}${since}${next || (quiet ? "; until the quiet hours are over" : "")}`;
}

/** One way of telling somebody, how it stands, and the button that tries it. */
function WayCard({ view, wall, tried }: { view: WayView; wall: number; tried: () => void }) {
  const { busy, refusal, attempt } = useDoing();
  const [test, setTest] = useState<WayTest | null>(null);
  const name = WAY_NAMES[view.way];
  const title = `way-${view.way}`;
  return (
    <section class="told-way" aria-labelledby={title} data-testid={title}>
      <h3 id={title}>{name}</h3>
      {!view.setUp ? (
        <p class="soft">
          Not set up. It belongs into <code>station.yaml</code>, under <code>outward: {view.way}</code>.
        </p>
      ) : (
        <>
          <dl class="facts">
            <div>
              <dt>Tells</dt>
              <dd>
                {view.to} of {prioritiesText(view)}
              </dd>
            </div>
            <div>
              <dt>Last sent</dt>
              <dd>
                {view.lastSentWall === null ? (
                  "nothing in the last 30 days"
                ) : (
                  <time dateTime={isoText(view.lastSentWall)}>{whenText(view.lastSentWall, wall)}</time>
                )}
              </dd>
            </div>
            <div>
              <dt>Waiting</dt>
              <dd>{waitingText(view, wall)}</dd>
            </div>
          </dl>
          {view.error !== null && (
            <p class="trouble-line trouble-bad">
              <Sign name="note" /> <span>At the last try: {view.error}</span>
            </p>
          )}
          {view.givenUp > 0 && view.lastGivenUpWall !== null && (
            <p class="trouble-line trouble-bad">
              <Sign name="note" />{" "}
              <span>
                {view.givenUp === 1 ? "One message was" : `${view.givenUp} messages were`} given up, the last{" "}
                {whenText(view.lastGivenUpWall, wall)}: nobody was told.
              </span>
            </p>
          )}
          <button
            type="button"
            class="button"
            aria-disabled={busy}
            onClick={() => {
              if (busy) return;
              setTest(null);
              void attempt(async () => {
                setTest(await ask.testWay(view.way, screenName()));
                tried();
              });
            }}
          >
            {busy ? "Being sent…" : `Send a test by ${view.way === "mqtt" ? "MQTT" : view.way}`}
          </button>
          <p role="status" class="told-test">
            {test !== null && (test.sent ? test.text : `It was not sent. ${test.text}`)}
          </p>
          <RefusalText refusal={refusal} />
        </>
      )}
    </section>
  );
}

/** Who outside the shop is told of alarms. */
export function WhoIsTold({ wall }: { wall: number }) {
  // An alarm that rises, or is over, is told: how it stands is another then.
  const stir = standing.value.map(({ alarm, state }) => `${alarm} ${state}`).join();
  const { answer, refusal, again } = useFollowed(start.value, stir, ask.outward);
  const [view, setView] = useState<OutwardView | null>(null);
  useEffect(() => {
    if (answer !== null) setView(answer);
  }, [answer]);
  const waits = view?.ways.some(({ waiting }) => waiting > 0) ?? false;
  useEffect(() => {
    if (!waits) return;
    const timer = setInterval(again, ASK_AGAIN_MS);
    return () => clearInterval(timer);
  }, [waits, again]);
  return (
    <section class="card" aria-labelledby="told-title">
      <h2 id="told-title">Who is told</h2>
      <p>Besides this station's screens. It does not replace somebody beside the machine.</p>
      {view?.quietHours && (
        <p>
          From {view.quietHours.from} to {view.quietHours.to} mails wait, but for those of urgent alarms.
        </p>
      )}
      {view !== null && (
        <div class="told-ways">
          {view.ways.map((way) => (
            <WayCard key={way.way} view={way} wall={wall} tried={again} />
          ))}
        </div>
      )}
      <RefusalText refusal={view === null ? refusal : null} again={again} />
    </section>
  );
}
