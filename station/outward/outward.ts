import { setTimeout } from "node:timers/promises";
import { AppError } from "../errors.js";
import type { Log } from "../log.js";
import type { AlarmDefinition, StandingAlarm, SuppressedAlarm } from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import { WAYS, type Way } from "../model/notice.js";
import type { OutwardView, WayTest } from "../model/outward.js";
import { createCarrier } from "./carrier.js";
import { createOutwardDesk, type OutwardDesk, type OutwardParts } from "./desk.js";
import type { OutwardEntry } from "./entry.js";
import { eventOf } from "./event.js";
import type { AlarmStanding, Outgoing } from "./outgoing.js";
import { createTestPace } from "./test-pace.js";
import type { Told } from "./told.js";
import { mailOf } from "./wording.js";

/** Somebody waits before a page for it. */
const TEST_WITHIN_MS = 11_000;

export interface Outward extends Pick<OutwardDesk, "told" | "takeUp" | "started"> {
  /** How all alarms stand, whenever that may have changed. */
  states(standing: readonly StandingAlarm[], suppressed: readonly SuppressedAlarm[]): void;
  /** @param well whether the station does its work: what keeps an eye on it is told so */
  tick(now: Instant, well: boolean): void;
  view(): OutwardView;
  /** @throws AppError "way-unknown", "way-not-set-up", "way-test-running", "way-test-too-soon" */
  test(way: string, by: string): Promise<WayTest>;
  close(): Promise<void>;
}

export interface OutwardOptions extends Omit<OutwardParts, "send" | "entry" | "definition" | "pause"> {
  readonly entry: OutwardEntry | undefined;
  /** As they are set now. */
  readonly definitions: () => readonly AlarmDefinition[];
  readonly log: Log;
}

const NOBODY: OutwardEntry = { tell_start: false };
const BEAT_MS = 5_000;

/** Everything by which the station tells somebody who is not in the shop. With nothing set up it has no thread. */
export function createOutward(options: OutwardOptions): Outward {
  const { entry = NOBODY, definitions, log, clock } = options;
  const any = entry.heartbeat !== undefined || WAYS.some((way) => entry[way] !== undefined);
  const carrier = any
    ? createCarrier({
        entry,
        onEnded: (why) => log("error", "what tells outward has ended and is started again", { why }),
      })
    : null;
  const desk = createOutwardDesk({
    ...options,
    entry,
    definition: (alarm) => definitions().find(({ id }) => id === alarm),
    pause: (ms) => setTimeout(ms, undefined, { ref: false }),
    send: (message) =>
      carrier === null ? Promise.reject(new Error("it is not set up")) : carrier.send(message),
  });
  const pace = createTestPace();
  let tests = 0;
  let beatMono = Number.NEGATIVE_INFINITY;
  let wasWell: boolean | null = null;

  function testOf(way: Way, by: string): Outgoing {
    tests++;
    const { station, simulated, start } = options;
    const { wall } = clock.now();
    const told: Told = {
      ...{ id: `${start}-test-${tests}`, what: "test", station, simulated, alarm: "", kind: "" },
      ...{ title: "This is a test: nothing has happened", priority: "low", transition: "test", state: "" },
      ...{ detail: "", consequence: "", action: "", by, wall, clock: clock.state() },
    };
    const key = `${way}:${told.id}`;
    if (way === "mail") {
      const domain = entry.mail?.from.replace(/^.*@/, "") ?? "";
      return { way, mail: mailOf([told], key, domain, options.when), wall };
    }
    return way === "mqtt" ? { way, event: eventOf(told) } : { way, key, event: eventOf(told) };
  }

  return {
    told: desk.told,
    takeUp: desk.takeUp,
    started: desk.started,
    view: desk.view,
    states(standing, suppressed) {
      carrier?.states(standingsOf(definitions(), standing, suppressed));
    },
    tick(now, well) {
      desk.tick(now);
      if (now.mono - beatMono < BEAT_MS && well === wasWell) return;
      beatMono = now.mono;
      wasWell = well;
      carrier?.beat(well);
    },
    async test(name, by) {
      const way = WAYS.find((each) => each === name);
      if (way === undefined) throw new AppError("way-unknown", `The ways are ${WAYS.join(", ")}.`);
      if (carrier === null || entry[way] === undefined)
        throw new AppError("way-not-set-up", `Set it up first: section outward.${way} of station.yaml.`);
      pace.begin(way, clock.now().mono);
      try {
        const { note, nobody } = await carrier.send(testOf(way, by), TEST_WITHIN_MS);
        if (nobody) return { sent: false, text: `${note}.` };
        return { sent: true, text: note === null ? TAKEN[way] : `${TAKEN[way]} But: ${note}.` };
      } catch (error) {
        return { sent: false, text: error instanceof Error ? error.message : String(error) };
      } finally {
        pace.end(way);
      }
    },
    async close() {
      await carrier?.close();
    },
  };
}

/** What a server that takes a message does not say is whether anybody reads it. */
const TAKEN: Readonly<Record<Way, string>> = {
  mail: "The mail server has taken it. See that it arrives, and not among the junk.",
  mqtt: "The broker has taken it.",
  webhook: "The receiver has taken it.",
};

function standingsOf(
  definitions: readonly AlarmDefinition[],
  standing: readonly StandingAlarm[],
  suppressed: readonly SuppressedAlarm[],
): AlarmStanding[] {
  const stands = new Map(standing.map((alarm) => [alarm.alarm, alarm]));
  const kept = new Map(suppressed.map((alarm) => [alarm.alarm, alarm]));
  return definitions.map(({ id, title, priority }) => {
    const about = { alarm: id, title, priority };
    const loud = stands.get(id);
    if (loud !== undefined) {
      const { state, detail, raisedWall } = loud;
      return { ...about, state, detail, since: new Date(raisedWall).toISOString() };
    }
    const quiet = kept.get(id);
    if (quiet === undefined) return { ...about, state: "normal", detail: "", since: null };
    const { state, reason: detail, sinceWall } = quiet;
    return { ...about, state, detail, since: new Date(sinceWall).toISOString() };
  });
}
