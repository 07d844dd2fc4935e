import type { Clock, Instant } from "../../model/instant.js";
import type { Finding, Source, SourceSink, SourceStatus } from "../../model/source.js";
import { type Bench, createBench, type PointReport, STEPS_PER_S } from "./bench.js";
import type { BenchSimulatorEntry } from "./entry.js";
import { unitOf } from "./points.js";

/** What has happened on the bench since the tick before is told, so late at most, with the next. */
export const TICK_MS = 100;
/** Further behind than this, the process was not running: real sensors would have gone unread, so nothing is reported. */
const GAP_MS = 2000;
/** And no more than this in one tick, however fast the simulated time goes, to leave the main thread to others. */
const REPORTED_STEPS_AT_ONCE = 1000;
/** The longest stretch that is made up for, simulated; the rest of a longer one never happens on the bench. */
const MOST_SKIPPED_STEPS = 3600 * STEPS_PER_S;

const DETAIL = "a simulated bench: nothing here is measured";

interface Session {
  readonly sink: SourceSink;
  readonly bench: Bench;
  readonly timer: NodeJS.Timeout;
  /** Monotonic time of the bench's step 0, ms. */
  originMono: number;
}

/**
 * The bench simulator as a source. Every start begins the same bench anew. Times of readings are those of the station's
 * clock at which the bench was in that state, so that an edge between two ticks of the timer keeps its own time.
 */
export function createBenchSimulator(entry: BenchSimulatorEntry, deps: { readonly clock: Clock }): Source {
  const { clock } = deps;
  const msPerStep = 1000 / (STEPS_PER_S * entry.time_factor);
  let session: Session | null = null;
  let accepted = 0;

  const status = (): SourceStatus => ({
    source: entry.id,
    driver: entry.driver,
    state: session === null ? "closed" : "open",
    reason: null,
    detail: DETAIL,
    simulated: true,
    accepted,
    dropped: {},
  });

  const tick = () => {
    if (session === null) return;
    const now = clock.now();
    const stepNow = Math.floor((now.mono - session.originMono) / msPerStep);
    const behind = stepNow - session.bench.step;
    if (behind * msPerStep > GAP_MS || behind > REPORTED_STEPS_AT_ONCE) {
      session.bench.skip(Math.min(behind, MOST_SKIPPED_STEPS));
      session.originMono = now.mono - session.bench.step * msPerStep;
      deliver(session, now);
      return;
    }
    for (const current = session; session === current && current.bench.step <= stepNow; )
      deliver(current, now);
  };

  /** Reports the step that the bench stands at, and goes on to the next. */
  const deliver = ({ sink, bench, originMono }: Session, now: Instant) => {
    const at = instantOf(originMono + bench.step * msPerStep, now);
    for (const report of bench.report()) {
      // A sink may have stopped the source from within; then nothing more is said.
      if (session?.bench !== bench) return;
      accepted += 1;
      sink.reading(rawReading(entry.id, at, report));
    }
    bench.go();
  };

  return {
    id: entry.id,
    status,
    start(sink) {
      if (session !== null) return;
      accepted = 0;
      session = {
        sink,
        bench: createBench(entry),
        timer: setInterval(tick, TICK_MS),
        originMono: clock.now().mono,
      };
      sink.status(status());
    },
    async stop() {
      if (session === null) return;
      const { sink, timer } = session;
      clearInterval(timer);
      session = null;
      sink.status(status());
    },
    async check(): Promise<readonly Finding[]> {
      return [{ subject: entry.id, ok: true, found: `${DETAIL} (seed ${entry.seed})`, mend: "" }];
    },
  };
}

/** A moment up to `now`, in whole milliseconds as the journal keeps them, never later than it was. */
function instantOf(mono: number, now: Instant): Instant {
  const whole = Math.floor(mono);
  return { mono: whole, wall: Math.floor(now.wall - (now.mono - whole)) };
}

function rawReading(source: string, at: Instant, report: PointReport) {
  if ("fault" in report) return { source, point: report.point, at, fault: report.fault };
  return { source, point: report.point, at, value: report.value, unit: unitOf(report.point) };
}
