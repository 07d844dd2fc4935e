/**
 * The thread of one export of readings, which lives only as long: writing some thousand rows takes the main thread longer than
 * it has, and charts need not wait behind it.
 */
import { type Db, openForReading } from "../database.js";
import { answerCalls, giveWay } from "../thread.js";
import { directReader } from "./direct-reader.js";
import { exportReadings, type ReadingsFormat, type ReadingsQuery } from "./export-readings.js";

export interface ExportRequest {
  /** Of the journal. */
  readonly folder: string;
  readonly query: ReadingsQuery;
  readonly format: ReadingsFormat;
}

export interface ExportCalls {
  begin: { params: ExportRequest; result: null };
  /**
   * The next piece, which may be empty; null after the last. As text, which is dropped with what is young: bytes of it pile up to
   * tens of megabytes first.
   */
  next: { params: null; result: string | null };
}

let db: Db | null = null;
let pieces: AsyncGenerator<string, void> | null = null;

giveWay();
answerCalls<ExportCalls>(
  {
    begin({ folder, query, format }) {
      db = openForReading(folder);
      // Nothing is read twice.
      db.pragma("cache_size = -1000");
      pieces = exportReadings(directReader(db), query, format, { rows: 0 });
      return null;
    },
    async next() {
      if (pieces === null) throw new Error("No export has been begun in this thread.");
      const { value, done } = await pieces.next();
      return done ? null : value;
    },
  },
  () => db?.close(),
);
