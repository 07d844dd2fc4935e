import { spawn } from "node:child_process";
import { once } from "node:events";
import { closeSync, mkdirSync, openSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { JOURNAL_FILE } from "../../station/journal/database.js";
import { seeded } from "../unit/conditions/coolant-scenes.js";
import { emptyFolder } from "../unit/journal/samples.js";
import { type Answer, freshFigures, type KillFigures, look } from "./kills.js";
import { afterPowerCut, type Event, eventsOf, straceOptions } from "./trace.js";

const WRITING = fileURLToPath(new URL("writing.mjs", import.meta.url));
const WAL_FILE = `${JOURNAL_FILE}-wal`;
/** Cuts of one trace. */
const CUTS_A_TRACE = 100;
const WRITES_FOR_MS = 6000;
const SAID = "said";

/** What a writing station did to its files until it was stopped. */
async function traced(folder: string, seed: number): Promise<Event[]> {
  const journal = join(folder, "journal");
  mkdirSync(journal);
  const [out, said] = [join(folder, "trace"), join(folder, SAID)];
  const paths = [join(journal, JOURNAL_FILE), join(journal, WAL_FILE), said];
  const told = openSync(said, "w");
  const command = [process.execPath, WRITING, journal, String(seed), "start-0", "boot-0", "1000"];
  const child = spawn("strace", [...straceOptions(out, paths), ...command], {
    stdio: ["ignore", told, "inherit"],
    detached: true,
  });
  closeSync(told);
  const timer = setTimeout(() => process.kill(-(child.pid as number), "SIGKILL"), WRITES_FOR_MS);
  await once(child, "exit");
  clearTimeout(timer);
  // The last line may be torn as well.
  const trace = readFileSync(out, "utf8");
  return eventsOf(trace.slice(0, trace.lastIndexOf("\n") + 1), SAID);
}

function answersOf(events: readonly Event[]): Answer[] {
  const text = Buffer.concat(
    events.flatMap((event) => (event.kind === "said" ? [event.bytes] : [])),
  ).toString();
  return text
    .slice(0, text.lastIndexOf("\n") + 1)
    .split("\n")
    .filter((line) => line !== "")
    .map((line) => JSON.parse(line) as Answer);
}

/** Cuts the power at moments drawn by lot, and looks each time for all that had been answered for. */
export async function cutMany(cuts: number, seed: number): Promise<KillFigures> {
  const random = seeded(seed);
  const figures = freshFigures();
  while (figures.kills < cuts) {
    const { folder, remove } = emptyFolder();
    const events = await traced(folder, Math.floor(random() * 2 ** 32));
    for (let i = 0; i < CUTS_A_TRACE && figures.kills < cuts; i++, figures.kills++) {
      const before = events.slice(0, Math.floor(random() * events.length));
      const answers = answersOf(before);
      if (answers.length === 0) figures.early++;
      const cut = join(folder, `cut-${i}`);
      mkdirSync(cut);
      for (const file of [JOURNAL_FILE, WAL_FILE])
        writeFileSync(join(cut, file), afterPowerCut(before, file, random));
      await look(cut, [{ start: "start-0", bootId: "boot-0", answers }], figures);
    }
    remove();
  }
  return figures;
}
