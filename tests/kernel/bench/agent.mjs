/**
 * The hands of the tests inside the guest. Takes requests from the virtio port "agent", a line of JSON each with an `id`, and
 * answers each with a line of the same id: `{ id, answer }`, or `{ id, error, code }`.
 */
import { execFile, spawn } from "node:child_process";
import { closeSync, createReadStream, openSync, readdirSync, readFileSync, writeSync } from "node:fs";
import { readFile, writeFile } from "node:fs/promises";
import { request } from "node:http";
import { createInterface } from "node:readline";

const PORTS = "/sys/class/virtio-ports";
const portNamed = (name) =>
  `/dev/${readdirSync(PORTS).find((port) => readFileSync(`${PORTS}/${port}/name`, "utf8").trim() === name)}`;

const port = openSync(portNamed("agent"), "r+");
const tell = (line) => writeSync(port, `${JSON.stringify(line)}\n`);

/** Programs that go on, by the name that the tests gave them. */
const programs = new Map();
const OUTPUT_LIMIT = 200_000;

const DEEDS = {
  read: ({ path }) => readFile(path, "utf8"),
  write: ({ path, text }) => writeFile(path, text),

  /** A shell command, to its end. */
  run: ({ command, withinMs }) =>
    new Promise((resolve) => {
      execFile(
        "bash",
        ["-c", command],
        { timeout: withinMs, killSignal: "SIGKILL", maxBuffer: 1e7 },
        (error, out, words) =>
          resolve({ code: error === null ? 0 : (error.code ?? error.signal), out, words }),
      );
    }),

  /** @param toPort the virtio port that its output goes to, straight from it; without, it is kept here */
  start: ({ name, command: [program, ...args], env, cwd, toPort }) => {
    const out = toPort === undefined ? "pipe" : openSync(portNamed(toPort), "w");
    const child = spawn(program, args, {
      cwd,
      env: { ...process.env, ...env },
      stdio: ["ignore", out, "pipe"],
    });
    if (typeof out === "number") closeSync(out);
    const kept = { child, output: "", ended: null };
    const hear = (data) => {
      kept.output = (kept.output + data).slice(-OUTPUT_LIMIT);
    };
    child.stdout?.on("data", hear);
    child.stderr.on("data", hear);
    child.once("error", (error) => hear(error.message));
    child.once("exit", (code, signal) => {
      kept.ended = { code, signal };
    });
    programs.set(name, kept);
    return child.pid;
  },
  program: ({ name }) => {
    const { output, ended, child } = programs.get(name);
    return { output, ended, pid: child.pid };
  },
  signal: ({ name, signal }) => programs.get(name).child.kill(signal),

  /** @returns what a server in the guest answers: `{ status, text }` */
  ask: ({ url, method, body }) =>
    new Promise((resolve, reject) => {
      const headers = body === undefined ? {} : { "content-type": "application/json" };
      const asked = request(url, { method, headers }, (response) => {
        let text = "";
        response.setEncoding("utf8").on("data", (part) => {
          text += part;
        });
        response.on("end", () => resolve({ status: response.statusCode, text }));
        response.on("error", reject);
      });
      asked.on("error", reject);
      asked.end(body);
    }),

  /** Writes to a file. @returns the monotonic milliseconds (of the system's clock) before and after */
  writeNow: ({ path, text }) => {
    const mono = () => Number(process.hrtime.bigint()) / 1e6;
    const file = openSync(path, "w");
    const before = mono();
    writeSync(file, text);
    const after = mono();
    closeSync(file);
    return { before, after };
  },
};

createInterface({ input: createReadStream("", { fd: port, autoClose: false }) }).on("line", async (line) => {
  const { id, deed, ...more } = JSON.parse(line);
  try {
    tell({ id, answer: (await DEEDS[deed](more)) ?? null });
  } catch (error) {
    tell({ id, error: String(error?.message ?? error), code: error?.code });
  }
});
tell({ id: 0, answer: "ready" });
