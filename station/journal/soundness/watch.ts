import type { Log } from "../../log.js";
import type { Instant } from "../../model/instant.js";
import type { SoundnessView } from "../../model/soundness.js";
import { LITTLE_MEMORY, startThread } from "../thread.js";
import type { Looked } from "./look.js";
import type { LookCalls } from "./look-thread.js";
import { soundnessOf } from "./words.js";

export interface SoundnessParts {
  /** Of the journal. */
  readonly folder: string;
  readonly journal: {
    /** Resolves once it is open. */
    readonly ready: Promise<unknown>;
    makeIndex(name: string): Promise<void>;
  };
  readonly now: () => Instant;
  readonly log: Log;
  /** The compiled look-thread.js; by default the one beside this module. */
  readonly threadUrl?: URL;
}

/** Looks the journal through after every start and once a day, and mends what can be mended without losing anything. */
export interface SoundnessWatch {
  /** To be called now and then; begins a look where one is due, and never waits for it. */
  tick(now: Instant): void;
  view(): SoundnessView;
  /** Resolves once the first look is over, whatever it has found. */
  readonly first: Promise<void>;
  /** Resolves once none is under way; none is begun any more. */
  close(): Promise<void>;
}

const EVERY_MS = 86_400_000;
const AGAIN_MS = 3_600_000;

/** Begins the first look as soon as the journal is open. */
export function createSoundnessWatch({
  folder,
  journal,
  now,
  log,
  threadUrl,
}: SoundnessParts): SoundnessWatch {
  const url = threadUrl ?? new URL("./look-thread.js", import.meta.url);
  let view: SoundnessView = soundnessOf(null, [], null);
  let nextMono = Number.POSITIVE_INFINITY;
  let running: Promise<void> | null = null;
  let closed = false;
  let told = "";

  async function lookOnce(): Promise<Looked> {
    const thread = startThread<LookCalls>(url, {}, LITTLE_MEMORY);
    try {
      return await thread.call("look", { folder });
    } finally {
      await thread.stop();
    }
  }

  /** The tables hold the truth: nothing is lost with an index. */
  async function mend(indexes: readonly string[]): Promise<string[]> {
    const made: string[] = [];
    for (const name of indexes) {
      try {
        await journal.makeIndex(name);
        made.push(name);
      } catch (error) {
        log("error", "an index could not be made anew", { index: name, error: String(error) });
      }
    }
    return made;
  }

  async function lookAndMend(): Promise<void> {
    try {
      let looked = await lookOnce();
      const made = closed ? [] : await mend(looked.indexes);
      // How things are afterwards, not how they should be.
      if (made.length > 0) looked = await lookOnce();
      settle(soundnessOf(looked, made, now().wall), EVERY_MS);
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error);
      // What was found before still stands.
      if (view.lookedWall === null) settle(soundnessOf(null, [], null, why), AGAIN_MS);
      else settle(view, AGAIN_MS);
      if (!closed) log("error", "the journal could not be looked through", { why });
    }
  }

  function settle(found: SoundnessView, inMs: number): void {
    view = found;
    nextMono = now().mono + inMs;
    // What goes on being wrong is told of once.
    if (found.text === told || found.state === "unknown" || closed) return;
    told = found.text;
    log(found.doubt === null ? "info" : "error", found.text);
  }

  function begin(): Promise<void> {
    const begun = lookAndMend().finally(() => {
      if (running === begun) running = null;
    });
    running = begun;
    return begun;
  }

  const first = journal.ready.then(
    () => (closed ? undefined : begin()),
    (error: unknown) => {
      view = soundnessOf(null, [], null, error instanceof Error ? error.message : String(error));
    },
  );

  return {
    tick({ mono }) {
      if (!closed && running === null && mono >= nextMono) void begin();
    },
    view: () => view,
    first,
    async close() {
      closed = true;
      await running;
    },
  };
}
