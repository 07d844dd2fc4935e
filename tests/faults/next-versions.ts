import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { done } from "./fresh-debian.js";

const VERSIONS = "usr/lib/workshop-station/versions";

/** What is done to the built program so that a version is one that a maker would not want. */
const FAULTS = {
  none: (_program: string) => undefined,
  "does not start": (program: string) =>
    change(join(program, "main.js"), (text) => `throw new Error("broken on purpose");\n${text}`),
  /** The journal has a new form by then. */
  "changes the journal, and starts": (program: string) => newSchema(program),
  "changes the journal, and ends soon after it has said that it runs": (program: string) => {
    newSchema(program);
    change(join(program, "main.js"), (text) =>
      text.replace("systemd.ready();", (ready) => `${ready} setTimeout(() => process.exit(7), 8_000);`),
    );
  },
} as const;
export type Fault = keyof typeof FAULTS;

function change(path: string, how: (text: string) => string): void {
  const before = readFileSync(path, "utf8");
  const after = how(before);
  if (after === before) throw new Error(`${path} has another form than this test knows`);
  // Written anew: the file may be a link to one of another version.
  rmSync(path);
  writeFileSync(path, after);
}

function newSchema(program: string): void {
  change(join(program, "journal/migrations.js"), (text) =>
    text.replace(/\n\];/, (end) => {
      const next =
        Math.max(...[...text.matchAll(/version: (\d+)/g)].map(([, version]) => Number(version))) + 1;
      return `\n    { version: ${next}, sql: "CREATE TABLE of_the_test_${next} (id INTEGER)" },${end}`;
    }),
  );
}

/** Makes of a package that was really built one of another version, with that fault. @returns the new package's file */
export async function nextPackage(built: string, version: string, fault: Fault, to: string): Promise<string> {
  const tree = join(to, `tree-${version}`);
  await done(["dpkg-deb", "--raw-extract", built, tree]);
  const [old = ""] = readdirSync(join(tree, VERSIONS));
  await done(["mv", join(tree, VERSIONS, old), join(tree, VERSIONS, version)]);
  change(join(tree, "DEBIAN/control"), (text) => text.replace(/^Version: .*$/m, `Version: ${version}`));
  change(join(tree, "DEBIAN/postinst"), (text) => text.replaceAll(`versions/${old}`, `versions/${version}`));
  await done(["chmod", "755", join(tree, "DEBIAN/postinst")]);
  // What dpkg would hold the files against, under their old names.
  rmSync(join(tree, "DEBIAN/md5sums"));
  const program = join(tree, VERSIONS, version);
  change(join(program, "package.json"), (text) =>
    text.replace(`"version": "${old}"`, `"version": "${version}"`),
  );
  FAULTS[fault](join(program, ".build/station"));
  const file = join(to, `workshop-station_${version}.deb`);
  await done(["dpkg-deb", "--root-owner-group", "-Znone", "--build", tree, file]);
  rmSync(tree, { recursive: true });
  return file;
}
