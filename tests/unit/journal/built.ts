import { execFileSync } from "node:child_process";
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";

const root = new URL("../../../", import.meta.url);

/** A worker thread cannot start from TypeScript, so these suites run the compiled threads. */
export const WRITER_URL = new URL(".build/station/journal/writer-thread.js", root);
export const READER_URL = new URL(".build/station/journal/reader-thread.js", root);

export function buildIfMissing(): void {
  if (existsSync(WRITER_URL) && existsSync(READER_URL)) return;
  execFileSync("npx", ["tsc", "-p", "tsconfig.json"], { cwd: fileURLToPath(root), stdio: "inherit" });
}
