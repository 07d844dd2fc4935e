import { useEffect, useState } from "preact/hooks";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { Sign } from "../marks/signs.js";

/** While one is being sent, the page asks this often whether it is done. */
const ASK_AGAIN_MS = 1500;
const FORMATS = { csv: "CSV (spreadsheet)", senml: "SenML (programs)" } as const;
type Format = keyof typeof FORMATS;

/** A day of the calendar here, as its first moment; `later` days on. Null for none. */
function dayStart(text: string, later = 0): number | null {
  const [year, month, day] = text.split("-").map(Number);
  if (year === undefined || month === undefined || day === undefined) return null;
  return new Date(year, month - 1, day + later).getTime();
}

function addressOf(format: Format, first: string, last: string): string {
  // The last day is meant with all its hours.
  const bounds = Object.entries({ from: dayStart(first), to: dayStart(last, 1) });
  const query = bounds.flatMap(([name, wall]) => (wall === null ? [] : [[name, String(wall)]]));
  const search = new URLSearchParams(query).toString();
  return `/api/exports/readings.${format}${search === "" ? "" : `?${search}`}`;
}

function follow(address: string): void {
  const link = document.createElement("a");
  link.href = address;
  // Without it a refusal would take the place of the page.
  link.download = "";
  link.click();
}

/** Readings of some days, or all there is, as a file; one at a time. */
export function Exports() {
  const [format, setFormat] = useState<Format>("csv");
  const [first, setFirst] = useState("");
  const [last, setLast] = useState("");
  const [sending, setSending] = useState(false);
  const [trouble, setTrouble] = useState<string | null>(null);
  const { busy, refusal, attempt } = useDoing();
  // What was said of another span is not said of this one.
  useEffect(() => setTrouble(null), [format, first, last]);
  const backwards = first !== "" && last !== "" && last < first;
  useEffect(() => {
    if (!sending) return;
    let wanted = true;
    let timer: ReturnType<typeof setTimeout>;
    const look = async () => {
      const view = await ask.exports().catch(() => null);
      if (!wanted) return;
      if (view === null || view.running) timer = setTimeout(look, ASK_AGAIN_MS);
      else {
        setTrouble(view.trouble);
        setSending(false);
      }
    };
    timer = setTimeout(look, ASK_AGAIN_MS);
    return () => {
      wanted = false;
      clearTimeout(timer);
    };
  }, [sending]);
  const send = (address: string) => {
    if (sending) return;
    void attempt(async () => {
      setTrouble(null);
      if ((await ask.exports()).running) {
        setTrouble("Another export is being sent. Wait until it is done, then try again.");
        return;
      }
      follow(address);
      setSending(true);
    });
  };
  const waiting = busy || sending;
  return (
    <section class="card" aria-labelledby="exports-title">
      <h2 id="exports-title">Take a copy along</h2>
      <div class="export-fields">
        <div class="field">
          <label for="export-first">First day</label>
          <input
            id="export-first"
            type="date"
            value={first}
            onInput={(event) => setFirst(event.currentTarget.value)}
          />
        </div>
        <div class="field">
          <label for="export-last">Last day</label>
          <input
            id="export-last"
            type="date"
            value={last}
            onInput={(event) => setLast(event.currentTarget.value)}
          />
        </div>
        <div class="field">
          <label for="export-format">Format</label>
          <select
            id="export-format"
            value={format}
            onChange={(event) => setFormat(event.currentTarget.value as Format)}
          >
            {Object.entries(FORMATS).map(([id, words]) => (
              <option key={id} value={id}>
                {words}
              </option>
            ))}
          </select>
        </div>
      </div>
      <p class="soft">
        Every reading of these days that is kept, calibrated. A day left empty sets no limit.
      </p>
      <p class="tables">
        <button
          type="button"
          class="button"
          data-testid="save-readings"
          aria-disabled={waiting || backwards}
          onClick={() => {
            if (!backwards) send(addressOf(format, first, last));
          }}
        >
          Save readings
        </button>
        <button
          type="button"
          class="button"
          data-testid="save-journal"
          aria-disabled={waiting}
          onClick={() => send("/api/exports/journal.sqlite")}
        >
          Save the whole journal (SQLite)
        </button>
      </p>
      <p role="status">{sending ? "Being made and sent: the browser says how far it is." : ""}</p>
      {backwards && <p role="alert">The last day is before the first.</p>}
      {trouble !== null && (
        <p class="trouble-line trouble-bad" role="alert">
          <Sign name="note" /> <span>{trouble}</span>
        </p>
      )}
      <RefusalText refusal={refusal} />
    </section>
  );
}
