// node lay-out.mjs TARGET VERSION: lays out in a folder what a built station runs with, and nothing else: the program, and the packages it
// needs without what only their building, their types or other machines need.
import { cpSync, mkdirSync, readdirSync, readFileSync, rmdirSync, writeFileSync } from "node:fs";
import { join, relative, sep } from "node:path";

const [target, version] = process.argv.slice(2);
if (target === undefined || version === undefined) throw new Error("usage: lay-out.mjs TARGET VERSION");

/** Of better-sqlite3 and the like: sources, and all of the build but the module itself. */
const NATIVE_SOURCES =
  /\.(c|cc|cpp|h|hpp|gyp|gypi|o|a|d|mk|sh|lua|m4|in|am|ac)$|(^|\/)(Makefile|deps|obj|obj\.target|\.deps)(\/|$)/;
const FOR_PEOPLE = /\.(d\.[cm]?ts|[cm]?ts|tsx|map|flow|markdown|md|yml|tgz|gz)$/i;
const LICENCE = /licen[cs]e|copying|notice/i;
/** Files that hosting and linting go by. */
const DOT_FILE = /^\.(?!$)/;
/** Headers for building others, types, and what fetches ready builds at an installation. */
const NOT_AT_RUN_TIME = new Set([
  "nan",
  "node-addon-api",
  "prebuild-install",
  "node-gyp-build-optional-packages",
]);
const TESTS = new Set([
  "test",
  "tests",
  "__tests__",
  "example",
  "examples",
  "docs",
  ".github",
  "benchmark",
  "integration-test",
]);

const { packages } = JSON.parse(readFileSync("node_modules/.package-lock.json", "utf8"));
const { dependencies } = JSON.parse(readFileSync("package.json", "utf8"));
const wanted = new Set();
for (const name of Object.keys(dependencies)) want("", name);
/** A package that lies within another comes along with it. */
const top = [...wanted].filter((path) => path.split("node_modules/").length === 2);

/** Takes up what a package asks for, where npm has put it, and all that this asks for in turn. */
function want(from, name) {
  if (name.startsWith("@types/") || NOT_AT_RUN_TIME.has(name)) return;
  const path = placeOf(from, name);
  // An optional one is not there where it is for other systems.
  if (path === undefined || wanted.has(path)) return;
  wanted.add(path);
  const { dependencies, optionalDependencies, peerDependencies } = packages[path];
  for (const each of Object.keys({ ...dependencies, ...optionalDependencies, ...peerDependencies })) {
    want(path, each);
  }
}

/** Node.js looks within the package that asks, then beside it, and so on outwards. */
function placeOf(from, name) {
  const path = `${from === "" ? "" : `${from}/`}node_modules/${name}`;
  if (packages[path] !== undefined) return path;
  if (from === "") return undefined;
  const above = from.lastIndexOf("node_modules/");
  return placeOf(above <= 0 ? "" : from.slice(0, above - 1), name);
}

mkdirSync(target, { recursive: true });
for (const part of ["station", "safety", "ui"]) {
  cpSync(join(".build", part), join(target, ".build", part), {
    recursive: true,
    filter: (from) => !from.endsWith(".map") && !from.endsWith(".tsbuildinfo"),
  });
}
for (const path of top) {
  const hasLicence = readdirSync(path).some((name) => LICENCE.test(name));
  cpSync(path, join(target, path), {
    recursive: true,
    filter: (from) => from === path || isWanted(relative(path, from).split(sep), hasLicence),
  });
}
keepsSomething(join(target, "node_modules"));
// What removes it, goes back and upgrades it, for the copy of the repository may go.
const setup = join(target, "setup");
for (const script of ["install", "remove", "packages"]) cpSync(join(".setup", script), join(setup, script));
cpSync(".setup/service", join(setup, "service"), {
  recursive: true,
  filter: (from) => !from.endsWith(".mjs"),
});
cpSync("firmware-notes/workshop-station.service", join(setup, "service/workshop-station.service"));
const { name, description, license, type, engines } = JSON.parse(readFileSync("package.json", "utf8"));
const own = { name, version, description, license, type, engines, private: true };
writeFileSync(join(target, "package.json"), `${JSON.stringify(own, null, 2)}\n`);

/** Folders of which nothing was wanted go too. */
function keepsSomething(folder) {
  const kept = readdirSync(folder, { withFileTypes: true }).filter(
    (entry) => !entry.isDirectory() || keepsSomething(join(folder, entry.name)),
  );
  if (kept.length === 0) rmdirSync(folder);
  return kept.length > 0;
}

/** @param {string[]} parts of the path within the package */
function isWanted(parts, hasLicence) {
  const path = parts.join("/");
  const name = parts.at(-1) ?? "";
  if (LICENCE.test(name) && !name.endsWith(".map")) return true;
  // A licence that stands in the README alone has to come along.
  if (!hasLicence && /^readme/i.test(name) && parts.length === 1) return true;
  if (DOT_FILE.test(name) || FOR_PEOPLE.test(name) || NATIVE_SOURCES.test(path)) return false;
  if (parts.length === 1 && TESTS.has(name)) return false;
  if (name.endsWith(".node") && /^test_/.test(name)) return false;
  if (parts[0] === "prebuilds" && parts.length > 1) return isForHere(parts);
  return true;
}

/** Ready builds of a package for all systems: those for this one, with the C library that Debian has. */
function isForHere([, system = "", file]) {
  if (!system.startsWith("linux-") || !system.slice("linux-".length).split("+").includes(process.arch))
    return false;
  return file === undefined || !file.includes("musl");
}
