/** Keeps in the file `asked` of the journal's folder, a line each, the names of the calls that reach the thread importing this. */
import { appendFileSync } from "node:fs";
import { join } from "node:path";
import { parentPort } from "node:worker_threads";

let file = "";
parentPort.on("message", ({ name, params }) => {
  if (name === "open") file = join(params.folder, "asked");
  if (name !== undefined) appendFileSync(file, `${name}\n`);
});
