/** Replays the whole of boot-1 of the journal in argv[2] and says how many readings that were and what they add up to. */
import { openReader } from "../../../.build/station/journal/reader.js";

const [, , folder] = process.argv;
const reader = openReader({ folder });
let readings = 0;
let sum = 0;
for await (const block of reader.readingsForReplay({
  bootId: "boot-1",
  fromMono: 0,
  toMono: Number.MAX_SAFE_INTEGER,
})) {
  for (const { value } of block) sum += value;
  readings += block.length;
}
await reader.close();
process.stdout.write(JSON.stringify({ readings, sum }));
