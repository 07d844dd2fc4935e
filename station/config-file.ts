import { readFile } from "node:fs/promises";
import { demoConfig, readConfig, type StationConfig } from "./config.js";
import { AppError } from "./errors.js";

/** Looked for in the working folder. */
export const DEFAULT_FILE = "station.yaml";

export interface LoadedConfig {
  readonly config: StationConfig;
  /** Null: the simulated bench. */
  readonly file: string | null;
  /** As it stood in the file; null for the simulated bench. */
  readonly text: string | null;
}

/**
 * The configuration named, or the one in the working folder, or the simulated bench. A file that was named and is not
 * there is an error: the simulated bench must never stand in for a station that somebody set up.
 */
export async function loadConfig(named: string | null): Promise<LoadedConfig> {
  const file = named ?? DEFAULT_FILE;
  let text: string;
  try {
    text = await readFile(file, "utf8");
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : "";
    if (named === null && code === "ENOENT") {
      return { config: demoConfig(), file: null, text: null };
    }
    const why =
      code === "ENOENT"
        ? "it is not there"
        : code === "EACCES"
          ? "reading it is not permitted"
          : String(error);
    throw new AppError(
      "config-unreadable",
      `${file} could not be read: ${why}. Give the path of a station.yaml with --config.`,
    );
  }
  return { config: readConfig(text, file), file, text };
}
