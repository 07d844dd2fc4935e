import { readFileSync } from "node:fs";

/** What a script of package.json sets, and gives to node. */
export function asNpmRuns(script: string): { env: Record<string, string>; args: string[] } {
  const { scripts } = JSON.parse(readFileSync("package.json", "utf8")) as { scripts: Record<string, string> };
  const [before = "", after = ""] = (scripts[script] ?? "").split("node ");
  const words = (text: string) => text.split(" ").filter((word) => word !== "");
  return {
    env: Object.fromEntries(words(before).map((word) => word.split("=") as [string, string])),
    args: words(after),
  };
}

/** What a station that npm starts has in its environment; what is for node comes by NODE_OPTIONS. */
export function startEnvironment(): Record<string, string> {
  const { env, args } = asNpmRuns("start");
  return { ...env, NODE_OPTIONS: args.filter((arg) => arg.startsWith("--")).join(" ") };
}
