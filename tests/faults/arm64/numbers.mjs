/**
 * What this processor's node makes of each mathematical function, for arguments drawn by a fixed seed: on stdout a line a function, with
 * its name and the results as the hexadecimal digits of their 64 bits.
 */
import { createRandom } from "../../../.build/station/random.js";

const random = createRandom(20_261_127);
const COUNT = Number(process.argv[2] ?? 20_000);
const bytes = Buffer.alloc(8);
const hex = (value) => {
  bytes.writeDoubleBE(value);
  return bytes.toString("hex");
};
// Arguments come by additions, multiplications and divisions alone, which IEEE 754 leaves no choice in.
const share = () => 2 * random() - 1;
const positive = () => (random() + 2 ** -32) / (random() + 2 ** -32);
const wide = () => share() / (random() + 2 ** -10);

const FUNCTIONS = {
  exp: () => Math.exp(share() * 40),
  expm1: () => Math.expm1(share()),
  log: () => Math.log(positive()),
  log1p: () => Math.log1p(random()),
  log2: () => Math.log2(positive()),
  log10: () => Math.log10(positive()),
  pow: () => positive() ** share(),
  cbrt: () => Math.cbrt(wide()),
  hypot: () => Math.hypot(wide(), wide(), wide()),
  sin: () => Math.sin(wide()),
  cos: () => Math.cos(wide()),
  tan: () => Math.tan(wide()),
  asin: () => Math.asin(share()),
  acos: () => Math.acos(share()),
  atan: () => Math.atan(wide()),
  atan2: () => Math.atan2(wide(), wide()),
  sinh: () => Math.sinh(share() * 10),
  cosh: () => Math.cosh(share() * 10),
  tanh: () => Math.tanh(share() * 3),
  // Here nothing is left to the machine.
  "exactly: sqrt": () => Math.sqrt(positive()),
  "exactly: a * b + c": () => wide() * wide() + wide(),
  "exactly: (a - b) / c": () => (wide() - wide()) / wide(),
  "exactly: text and back": () => Number(String(wide())),
  "exactly: rounded text": () => Number(wide().toPrecision(7)),
};
for (const [name, make] of Object.entries(FUNCTIONS)) {
  process.stdout.write(`${name}\t${Array.from({ length: COUNT }, () => hex(make())).join(" ")}\n`);
}
