import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";

interface Locked {
  readonly license?: string;
  readonly dev?: boolean;
  readonly dependencies?: Readonly<Record<string, string>>;
  readonly optionalDependencies?: Readonly<Record<string, string>>;
}

/** SPDX names of licences under which something may be given on together with this program, which is under the MIT licence. */
const ALLOWED: ReadonlySet<string> = new Set([
  "MIT",
  "MIT-0",
  "ISC",
  "0BSD",
  "BSD-2-Clause",
  "BSD-3-Clause",
  "Apache-2.0",
  "BlueOak-1.0.0",
  "CC0-1.0",
  "Unlicense",
]);
/** A library that is loaded as it comes and can be put in the place of by another build of it, which is what its licence asks. */
const AS_A_LIBRARY: Readonly<Record<string, string>> = { "@img/sharp-": "LGPL-3.0-or-later" };

/** Packages that say their licence in an old way, which the list of npm does not take up. Looked at in their file LICENSE. */
const READ: Readonly<Record<string, string>> = { "xmlhttprequest-ssl": "MIT" };

const { packages } = JSON.parse(readFileSync("package-lock.json", "utf8")) as {
  packages: Readonly<Record<string, Locked>>;
};

/** Every package that the pages are built with, by its name. */
function importedByPages(): Set<string> {
  const files = readdirSync("ui/src", { recursive: true, encoding: "utf8" }).filter((name) =>
    /\.tsx?$/.test(name),
  );
  const names = files.flatMap((name) =>
    [...readFileSync(join("ui/src", name), "utf8").matchAll(/from "([^."][^"]*)"/g)].map(([, from = ""]) =>
      from
        .split("/")
        .slice(0, from.startsWith("@") ? 2 : 1)
        .join("/"),
    ),
  );
  return new Set(names);
}

function withAllBehind(roots: ReadonlySet<string>): Set<string> {
  const all = new Set<string>();
  const take = (name: string) => {
    if (all.has(name)) return;
    all.add(name);
    const found = packages[`node_modules/${name}`];
    for (const each of Object.keys({ ...found?.dependencies, ...found?.optionalDependencies })) take(each);
  };
  for (const root of roots) take(root);
  return all;
}

/** In "A OR B" one of both is enough, in "A AND B" both have to be. */
function isAllowed(licence: string): boolean {
  return licence
    .replace(/[()]/g, "")
    .split(" OR ")
    .some((each) => each.split(" AND ").every((part) => ALLOWED.has(part)));
}

describe("the licences of what is given on", () => {
  const pages = withAllBehind(importedByPages());
  const given = Object.entries(packages).filter(
    ([path, { dev }]) => path !== "" && (dev !== true || pages.has(path.replace(/^.*node_modules\//, ""))),
  );

  it("are known, and allow it", () => {
    expect(given.length).toBeGreaterThan(50);
    expect([...pages]).toEqual(expect.arrayContaining(["preact", "chart.js", "socket.io-client"]));
    const wrong = given.flatMap(([path, { license: told }]) => {
      const name = path.replace(/^.*node_modules\//, "");
      const license = told ?? READ[name];
      const library = Object.entries(AS_A_LIBRARY).some(
        ([start, licence]) =>
          name.startsWith(start) &&
          license?.split(" AND ").every((part) => part === licence || ALLOWED.has(part)),
      );
      return library || (license !== undefined && isAllowed(license))
        ? []
        : [`${name}: ${license ?? "none"}`];
    });
    expect(wrong).toEqual([]);
  });

  it("would be told of if one did not", () => {
    expect([
      isAllowed("MIT"),
      isAllowed("(MIT OR GPL-3.0)"),
      isAllowed("GPL-3.0"),
      isAllowed("MIT AND GPL-3.0"),
    ]).toEqual([true, true, false, false]);
  });
});
