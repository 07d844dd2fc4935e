import { resolve } from "node:path";
import { readConfig, type StationConfig } from "../config.js";
import { AppError } from "../errors.js";
import type { Bath, CalibrationView, Truth } from "../model/calibration-view.js";
import type { Clock } from "../model/instant.js";
import type { Unit } from "../model/quantity.js";
import type { RawReading } from "../model/reading.js";
import type {
  FoundPoint,
  FoundThing,
  HeardBoard,
  RoleChange,
  SetupFile,
  SetupPreview,
  SetupValues,
  SetupView,
} from "../model/setup.js";
import type { Source } from "../model/source.js";
import { type DriverEntry, driverEntrySchema } from "../sources/drivers.js";
import type { GpiodTools } from "../sources/gpio/gpiod-tools.js";
import type { Bias } from "../sources/gpio/line.js";
import { createCalibrationDesk } from "./calibration-desk.js";
import { configStore } from "./config-store.js";
import type { Connected, WantedLine } from "./connected.js";
import { type Findings, findConnected } from "./find.js";
import { FIRST_CONFIG } from "./first-config.js";
import { listenTo } from "./listen.js";
import { createLooker } from "./looker.js";
import { type Proposal, proposeRole, proposeTaking } from "./propose.js";

export interface SetupParts {
  readonly clock: Clock;
  readonly sysRoot: string;
  /** Where the system keeps the stable names of boards. */
  readonly byIdFolder: string;
  readonly tools: GpiodTools;
  readonly create: (entry: DriverEntry) => Source;
  /** What the station runs with, and the text it was read from; null for the simulated bench. */
  readonly running: StationConfig;
  readonly text: string | null;
  /** Of station.yaml, whether it is there or not. */
  readonly file: string;
  readonly simulated: boolean;
  /** Something starts the station again when it ends. */
  readonly byItself: boolean;
  /** Stops the station in order, to be started again. */
  readonly restart: () => void;
  /** A run is open. */
  readonly busy: () => boolean;
}

/** What the page looks at beside what it finds by itself. */
export interface LooksAt {
  readonly lines: readonly WantedLine[];
  readonly bias: Bias | null;
}

export interface Setup {
  view(at: LooksAt): Promise<SetupView>;
  /** @throws AppError `setup-taken-over` */
  values(page: string, at: LooksAt, touch: string | null): Promise<SetupValues>;
  /** @throws AppError `setup-unknown`, `setup-held`, `setup-listening` */
  listen(key: string): Promise<HeardBoard>;
  /** @throws AppError `setup-unknown`, `setup-refused`, and those of the store */
  preview(change: RoleChange, at: LooksAt, hash: string): Promise<SetupPreview>;
  write(change: RoleChange, at: LooksAt, hash: string): Promise<SetupFile>;
  back(hash: string): Promise<SetupFile>;
  /** The thermometers of the running station, and how far their calibration has come. */
  thermometers(): Promise<CalibrationView>;
  /** @throws AppError as `CalibrationDesk.take` */
  takePoint(channel: string, bath: Bath, truth: Truth): Promise<CalibrationView>;
  forgetPoint(channel: string, bath: Bath): Promise<CalibrationView>;
  /** @throws AppError `restart-refused` */
  restart(): void;
  /** A reading of the running station. */
  heard(raw: RawReading): void;
  close(): Promise<void>;
}

/** Beside the lines that somebody picked: more is no workshop, but a chip gone wild. */
const MOST_LOOKED_AT = 24;

export function createSetup(parts: SetupParts): Setup {
  const { clock, create, running } = parts;
  const store = configStore(parts.file, FIRST_CONFIG);
  const looker = createLooker({ clock, create });
  const calibration = createCalibrationDesk(running.channels, running.coolant_range);
  /** Points that boards have sent, by source of the running station or by path. */
  const sent = new Map<string, Map<string, Unit>>();
  const boards = new Set(running.sources.filter(({ driver }) => driver === "serial").map(({ id }) => id));
  const ownIds = new Map<string, string>();
  let listening = false;
  let listed: Findings["listed"] | undefined;

  const note = (of: string, point: string, unit: Unit) => {
    const points = sent.get(of) ?? new Map<string, Unit>();
    points.set(point, unit);
    sent.set(of, points);
  };
  const sentBy = (path: string): readonly FoundPoint[] => {
    const source = running.sources.find((entry) => entry.driver === "serial" && entry.path === path);
    const points = sent.get(source?.id ?? path) ?? sent.get(path) ?? new Map<string, Unit>();
    return [...points].map(([point, unit]) => ({ point, unit }));
  };

  const find = (at: LooksAt, config: StationConfig | null, before?: Findings["listed"]): Promise<Findings> =>
    findConnected({
      ...parts,
      ...at,
      listed: before,
      named: [...running.sources, ...(config?.sources ?? [])],
      heard: sentBy,
    });

  /** What station.yaml says now, and why it cannot be read. */
  const readFile = async () => {
    const { text, hash, canGoBack } = await store.read();
    const pending = text !== parts.text;
    const file = { path: resolve(parts.file), there: text !== null, hash, pending, back: canGoBack };
    try {
      const config = text === null ? null : readConfig(text, parts.file);
      return { config, file: { ...file, trouble: null } };
    } catch (error) {
      if (!(error instanceof AppError)) throw error;
      return { config: null, file: { ...file, trouble: error.message } };
    }
  };

  const runningSource = ({ means }: Connected) => running.sources.find((entry) => means(entry)) ?? null;

  const thingOf = (connected: Connected, config: StationConfig | null): FoundThing => {
    const held = runningSource(connected);
    const source = config?.sources.find((entry) => connected.means(entry));
    const roles = (config?.channels ?? [])
      .filter((channel) => channel.source === source?.id)
      .map(({ id, name, kind, point }) => ({
        ...{ channel: id, name, kind, point },
        counts: running.channels.some(
          (channel) => channel.id === id && channel.kind === kind && channel.source === held?.id,
        ),
      }));
    const activeLow = held?.driver === "digital-input" && held.active_low;
    return { ...connected.thing, roles, held: held !== null, activeLow };
  };

  /** The id of the source that a thing's values come from: that of the running station, or one for this page alone. */
  const sourceOf = (connected: Connected): string => {
    const held = runningSource(connected);
    if (held !== null) return held.id;
    const { key } = connected.thing;
    const known = ownIds.get(key) ?? `found-${ownIds.size + 1}`;
    ownIds.set(key, known);
    return known;
  };

  const proposalFor = async (change: RoleChange, at: LooksAt): Promise<Proposal> => {
    const { config, file } = await readFile();
    if (file.trouble !== null) throw new AppError("config-edit-refused", file.trouble);
    if (change.act === "take") return proposeTaking(change.channel, config);
    if (change.act === "calibrate") return { edits: calibration.edits(change.channel), notes: [] };
    const found = (await find(at, config)).connected.find(({ thing }) => thing.key === change.key);
    if (found === undefined) throw unknown();
    return proposeRole(change, found, config);
  };

  const thermometers = async (): Promise<CalibrationView> => {
    const { hash } = await store.read();
    return { thermometers: calibration.view(clock.now()), simulated: parts.simulated, hash };
  };

  return {
    thermometers,
    takePoint(channel, bath, truth) {
      calibration.take(channel, bath, truth, clock.now());
      return thermometers();
    },
    forgetPoint(channel, bath) {
      calibration.forget(channel, bath);
      return thermometers();
    },
    async view(at) {
      const { config, file } = await readFile();
      const found = await find(at, config);
      const { connected, chips, nothing, leftOut } = found;
      listed = found.listed;
      return {
        things: connected.map((each) => thingOf(each, config)),
        ...{ chips, nothing, leftOut, file, simulated: parts.simulated },
        restart: { byItself: parts.byItself, command: "npm start" },
      };
    },

    async values(page, at, touch) {
      const { config } = await readFile();
      // Once a second: what began a process then would hold the main thread up.
      const { connected } = await find(at, config, listed);
      const wanted = connected.filter((each) => each.thing.sort !== "board" && runningSource(each) === null);
      const probes = connected.filter(({ thing }) => thing.sort === "probe").length;
      const entries = wanted.slice(0, MOST_LOOKED_AT).map(({ entry, ...each }) =>
        driverEntrySchema.parse({
          ...entry,
          id: sourceOf({ entry, ...each }),
          // Probes are read one after the other, and those of the running station must not wait for these.
          every_s: each.thing.sort === "probe" ? Math.max(1, probes) : 1,
        }),
      );
      looker.look(page, entries);
      const keys = new Map(connected.map((each) => [sourceOf(each), each.thing.key]));
      const now = clock.now().mono;
      const values = looker.seen().flatMap(({ source, point, unit, value, trouble, mono }) => {
        const key = keys.get(source);
        return key === undefined
          ? []
          : [{ key, point, unit, value, trouble, ageMs: Math.max(0, now - mono) }];
      });
      const verdict = touch === null ? null : looker.touch(touch, (source) => keys.get(source) ?? null);
      return { values, touch: verdict };
    },

    async listen(key) {
      const { config } = await readFile();
      const found = (await find({ lines: [], bias: null }, config)).connected.find(
        ({ thing }) => thing.key === key && thing.sort === "board",
      );
      if (found === undefined) throw unknown();
      if (runningSource(found) !== null) {
        throw new AppError(
          "setup-held",
          "The running station reads this board: what it sends is shown beside it already.",
        );
      }
      if (listening) {
        throw new AppError(
          "setup-listening",
          "A board is being listened to. Wait some seconds, then try again.",
        );
      }
      listening = true;
      try {
        const heard = await listenTo(driverEntrySchema.parse({ ...found.entry, id: "found-board" }), {
          create,
          clock,
        });
        for (const { point, unit } of heard.points) note(String(found.entry.path), point, unit);
        return heard;
      } finally {
        listening = false;
      }
    },

    async preview(change, at, hash) {
      const { edits, notes } = await proposalFor(change, at);
      const { difference } = await store.draft(edits, hash);
      return { path: resolve(parts.file), diff: difference, notes };
    },

    async write(change, at, hash) {
      const { edits } = await proposalFor(change, at);
      await store.write(edits, hash);
      return (await readFile()).file;
    },

    async back(hash) {
      await store.back(hash);
      return (await readFile()).file;
    },

    restart() {
      if (!parts.byItself) {
        throw new AppError(
          "restart-refused",
          "Nothing starts the station again by itself. Stop it where it was started (Ctrl-C), then: npm start",
        );
      }
      if (parts.busy()) {
        throw new AppError("restart-refused", "A run is open. End it first: a new start would close it.");
      }
      parts.restart();
    },

    heard(raw) {
      if ("value" in raw && boards.has(raw.source)) note(raw.source, raw.point, raw.unit);
      looker.heard(raw);
      calibration.heard(raw);
    },

    close: () => looker.stop(),
  };
}

function unknown(): AppError {
  return new AppError("setup-unknown", "It is not connected any more. Check its plug, then look again.");
}
