import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { exportReadings } from "../../../../station/journal/exchange/export-readings.js";
import { importFile } from "../../../../station/journal/exchange/import.js";
import { createThinner } from "../../../../station/journal/thinning/thinner.js";
import { STAMP_REACH } from "../../../../station/retention.js";
import { channel, foundIn, reading, WALL, writerBench } from "../samples.js";
import { closing } from "../thinned.js";
import { readerOf } from "./journals.js";

it("readings that the rule of keeping took away are not imported again beside their rollups", async () => {
  const bench = writerBench();
  bench.put([], { name: "channelsDefined", params: [channel("coolant"), channel("room")] });
  const all = Array.from({ length: 3000 }, (_, i) =>
    reading(i % 2 === 0 ? "room" : "coolant", i * 1000, i / 16),
  );
  bench.put(all);
  closing(bench, 6e6);
  const file = join(bench.folder, "all.csv");
  const reader = readerOf(bench.folder);
  let text = "";
  const everything = { from: null, to: null, channels: null };
  for await (const piece of exportReadings(reader, everything, "csv", { rows: 0 })) text += piece;
  reader.close();
  // One that the journal never had, from after the thinned group.
  const [, second] = text.split("\r\n") as [string, string];
  const fresh = second.replace(",1000,", ",99000000,");
  writeFileSync(file, text);

  const thinner = createThinner(bench.db);
  thinner.order({ beforeWall: WALL + 8e6, reach: STAMP_REACH });
  while (thinner.step());
  const removed = bench.db.prepare("SELECT sum(removed) FROM thinned").pluck().get() as number;
  expect(removed).toBe(2999);
  const minutes = bench.db.prepare("SELECT * FROM block_minutes").raw().all();
  expect(await importFile(file, bench.folder)).toMatchObject({
    readings: 0,
    duplicates: 3,
    thinned: removed,
  });
  expect(bench.db.prepare("SELECT * FROM block_minutes").raw().all()).toEqual(minutes);
  expect(fresh).not.toBe(second);
  writeFileSync(file, [text.split("\r\n")[0], fresh, ""].join("\r\n"));
  expect(await importFile(file, bench.folder)).toMatchObject({ readings: 1, duplicates: 0, thinned: 0 });
  expect(foundIn(bench.db)).toEqual([]);
  bench.remove();
});
