import { mkdirSync, readFileSync, renameSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import type {
  RoleChange,
  SetupFile,
  SetupPreview,
  SetupValues,
  SetupView,
} from "../../station/model/setup.js";
import { Board, SysFolder, w1SlaveText } from "./bench-rig.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

const OTHER = "28-0000abcdef02";
const page = "0f2b7f6e-6a53-4f0e-9d9c-0a4b6e8f1a01";
const touch = "0f2b7f6e-6a53-4f0e-9d9c-0a4b6e8f1a02";
/** As where systemd has started it and looks after it. */
const UNDER_SYSTEMD = {
  INVOCATION_ID: "0123456789abcdef0123456789abcdef",
  NOTIFY_SOCKET: "/nonexistent/notify",
};

let folder: string;
let remove: () => void;
let sys: SysFolder;
let station: StationProcess | null;
let board: Board | null;

beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
  sys = new SysFolder(folder);
  station = null;
  board = null;
  other(19);
});
afterEach(async () => {
  if (station?.child.exitCode === null && station.child.signalCode === null) await station.kill();
  await board?.unplug();
  remove();
});

function other(celsius: number): void {
  const file = join(sys.root, "bus/w1/devices", OTHER, "w1_slave");
  mkdirSync(join(file, ".."), { recursive: true });
  writeFileSync(`${file}.new`, w1SlaveText(celsius));
  renameSync(`${file}.new`, file);
}

const FILE = () => join(folder, "station.yaml");
const begin = async (more: readonly string[] = [], env: Readonly<Record<string, string>> = {}) => {
  const roots = ["--sys-root", sys.root, "--serial-root", join(folder, "by-id")];
  station = await startStation(folder, null, { more: [...roots, ...more], env });
  return station;
};
const view = () => (station as StationProcess).get<SetupView>("/api/setup");
const values = (asked = "") =>
  (station as StationProcess).get<SetupValues>(`/api/setup/values?page=${page}${asked}`);
const send = <T>(method: string, path: string, body: object) =>
  (station as StationProcess).send(method, path, body) as Promise<{ status: number; body: T }>;

const coolant: RoleChange = {
  ...{ act: "give", key: `probe:${OTHER}`, point: "temperature", kind: "coolant-inlet" },
  ...{ name: "Water", activeLow: false, first: { name: "Back shed", low: 16, high: 21 } },
};

it("from the simulated bench to a probe that was touched, given its role, and is read after the restart", async () => {
  const first = await begin([], UNDER_SYSTEMD);
  const found = await view();
  expect(found).toMatchObject({ simulated: true, restart: { byItself: true } });
  expect(found.file).toMatchObject({
    path: FILE(),
    there: false,
    pending: false,
    back: false,
    trouble: null,
  });
  expect(found.things.map(({ key }) => key)).toEqual([
    `probe:${sys.probe}`,
    `probe:${OTHER}`,
    "sensor:hwmon:sht3x",
  ]);

  const shown = async () => {
    const all = (await values()).values.map(({ key, point, value }) => [key, point, value]);
    expect(all).toHaveLength(4);
    return all;
  };
  expect(await eventually(shown, "every value")).toEqual(
    expect.arrayContaining([
      [`probe:${sys.probe}`, "temperature", 18.5],
      [`probe:${OTHER}`, "temperature", 19],
      ["sensor:hwmon:sht3x", "humidity", 45],
    ]),
  );

  expect((await values(`&touch=${touch}`)).touch?.state).toBe("waiting");
  other(24);
  const decided = await eventually(async () => {
    const verdict = (await values(`&touch=${touch}`)).touch;
    return verdict?.state === "waiting" ? null : verdict;
  }, "a verdict");
  expect(decided).toMatchObject({ state: "one", moved: [{ key: `probe:${OTHER}`, by: 5 }] });

  const { hash } = found.file;
  const preview = await send<SetupPreview>("POST", "/api/setup/preview", { change: coolant, hash });
  expect(preview.status).toBe(200);
  const added = preview.body.diff.flatMap(({ what, lines }) => (what === "added" ? lines : []));
  expect(added.join("\n")).toContain(`device: ${OTHER}`);
  expect(preview.body.notes.join(" ")).toContain("passphrase");

  const written = await send<SetupFile>("PUT", "/api/setup/file", { change: coolant, hash });
  expect(written).toMatchObject({ status: 200, body: { there: true, pending: true, back: true } });
  expect(readFileSync(FILE(), "utf8")).toBe(added.join("\n"));
  const role = { name: "Water", kind: "coolant-inlet", counts: false };
  expect((await view()).things[1]).toMatchObject({ held: false, roles: [role] });

  expect((await send("POST", "/api/setup/restart", {})).status).toBe(202);
  await eventually(() => first.child.exitCode !== null, "its end");
  // What Restart=always and Restart=on-failure of systemd both start again.
  expect(first.child.exitCode).toBe(75);

  const again = await begin(["--config", FILE()]);
  const now = await eventually(async () => {
    const snapshot = await again.get<NowSnapshot>("/api/now");
    return snapshot.channels[0]?.value === 24 ? snapshot : null;
  }, "the probe's value");
  expect(now).toMatchObject({ simulated: false, stationName: "Back shed", coolant: { low: 16, high: 21 } });
  const after = await view();
  expect(after.file.pending).toBe(false);
  expect(after.things[1]).toMatchObject({ held: true, roles: [{ ...role, counts: true }] });
  expect((await send("POST", "/api/setup/restart", {})).body).toMatchObject({ code: "restart-refused" });

  // The way back, which is a change as any other: there was no file before.
  expect((await send("POST", "/api/setup/back", { hash: after.file.hash })).status).toBe(200);
  expect((await view()).file).toMatchObject({ there: false, pending: true, back: true });
});

it("a file that was changed by hand is not written over, and its comments and faults are left as they are", async () => {
  await begin();
  const { hash } = (await view()).file;
  const { status } = await send("PUT", "/api/setup/file", { change: coolant, hash });
  expect(status).toBe(200);
  const known = (await view()).file.hash;
  const byHand = `# My own words\n${readFileSync(FILE(), "utf8")}`;
  writeFileSync(FILE(), byHand);
  const second = { ...coolant, key: `probe:${sys.probe}`, kind: "coolant-outlet", name: "Out", first: null };
  const refused = await send<{ code: string }>("PUT", "/api/setup/file", { change: second, hash: known });
  expect(refused).toMatchObject({ status: 409, body: { code: "config-changed" } });
  expect((await send("POST", "/api/setup/back", { hash: known })).status).toBe(409);
  expect(readFileSync(FILE(), "utf8")).toBe(byHand);

  const now = (await view()).file.hash;
  expect((await send("PUT", "/api/setup/file", { change: second, hash: now })).status).toBe(200);
  expect(readFileSync(FILE(), "utf8").startsWith(byHand.trimEnd())).toBe(false);
  expect(readFileSync(FILE(), "utf8")).toMatch(/^# My own words\n/);
  expect((await view()).things.map(({ roles }) => roles.map(({ name }) => name))).toEqual([
    ["Out"],
    ["Water"],
    [],
  ]);

  writeFileSync(FILE(), "coolant_range: [");
  const faulty = (await view()).file;
  expect(faulty.trouble).toMatch(/line 1/);
  const third = await send<{ code: string }>("PUT", "/api/setup/file", { change: second, hash: faulty.hash });
  expect(third).toMatchObject({ status: 422, body: { code: "config-edit-refused" } });
  expect(readFileSync(FILE(), "utf8")).toBe("coolant_range: [");
  expect((await send("POST", "/api/setup/back", { hash: faulty.hash })).status).toBe(200);
  expect((await view()).file.trouble).toBeNull();
});

it("wrong steps are refused with words, and change nothing", async () => {
  await begin();
  const { hash } = (await view()).file;
  const put = (change: object) =>
    send<{ code: string; detail: string }>("PUT", "/api/setup/file", { change, hash });
  expect(await put({ ...coolant, first: null })).toMatchObject({
    status: 422,
    body: { code: "setup-refused" },
  });
  expect(await put({ ...coolant, key: "probe:28-ffffffffffff" })).toMatchObject({ status: 404 });
  expect(await put({ ...coolant, kind: "lid-open" })).toMatchObject({ status: 422 });
  const upside = { ...coolant, first: { name: "A", low: 21, high: 16 } };
  expect(await put(upside)).toMatchObject({
    status: 400,
    body: { detail: expect.stringMatching(/lower end/) },
  });
  expect(await put({ act: "take", channel: "coolant-in" })).toMatchObject({ status: 422 });
  expect((await send("POST", "/api/setup/back", { hash })).status).toBe(409);
  expect((await send("POST", "/api/setup/listen", { key: "board:/etc/passwd" })).status).toBe(404);
  expect((await send("POST", "/api/setup/restart", {})).body).toMatchObject({
    detail: expect.stringMatching(/npm start/),
  });
  expect((await view()).file.there).toBe(false);
});

it("a board is opened only when somebody asks, tells what it sends, and is not opened while the station reads it", async () => {
  board = await Board.plugIn(folder);
  board.reportEvery(200);
  mkdirSync(join(folder, "by-id"));
  const path = join(folder, "by-id", "usb-workshop_board_0001-if00");
  symlinkSync(board.path, path);
  await begin();
  const key = `board:${path}`;
  const boardNow = async () => (await view()).things.find((thing) => thing.key === key);
  expect(await boardNow()).toMatchObject({ title: "workshop board 0001", points: [], held: false });
  const heard = await send<{ points: object[] }>("POST", "/api/setup/listen", { key });
  expect(heard).toMatchObject({ status: 200, body: { text: "It sends 3 values." } });
  expect(heard.body.points).toContainEqual({ point: "fan", unit: "1/min", value: 1500 });
  expect((await boardNow())?.points.map(({ point }) => point)).toEqual(["fan", "laser", "pedal"]);
  const fan = { ...coolant, key, point: "fan", kind: "extraction-speed", name: "Fan" };
  const { hash } = (await view()).file;
  expect((await send("PUT", "/api/setup/file", { change: fan, hash })).status).toBe(200);
  await station?.stop();
  // The pair of terminals ends with whoever closes an end of it.
  await board.unplug();
  await board.plugBackIn(folder);
  board.reportEvery(200);

  await begin(["--config", FILE()]);
  expect(await eventually(async () => (await boardNow())?.points.length === 3, "its points")).toBe(true);
  expect(await boardNow()).toMatchObject({ held: true, roles: [{ name: "Fan", counts: true }] });
  expect((await send("POST", "/api/setup/listen", { key })).body).toMatchObject({ code: "setup-held" });
  const seen = await eventually(
    async () => (await values()).values.find((each) => each.key === key && each.point === "fan"),
    "its value",
  );
  expect(seen.value).toBe(1500);
});

it("one page looks at a time, and the newest is it", async () => {
  await begin();
  const from = (name: string) =>
    send<{ code: string }>("GET", `/api/setup/values?page=${name}`, undefined as never);
  expect((await from(page)).status).toBe(200);
  expect((await from(touch)).status).toBe(200);
  expect(await from(page)).toMatchObject({ status: 409, body: { code: "setup-taken-over" } });
  expect((await from(touch)).status).toBe(200);
});
