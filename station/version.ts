import { readFileSync } from "node:fs";

/** Of this program, as package.json above the built files has it. */
export function ownVersion(): string {
  const { version }: { version?: unknown } = JSON.parse(
    readFileSync(new URL("../../package.json", import.meta.url), "utf8"),
  );
  return String(version);
}
