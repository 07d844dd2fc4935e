import Database from "better-sqlite3";

/**
 * Takes entries out of an index while their rows stay, as a sector of zeros does: it is made anew as one of fewer rows, and
 * then called what it was before.
 * @param kept condition of the rows whose entries stay
 */
export function loseEntries(file: string, index: string, kept: string): void {
  const db = new Database(file);
  db.unsafeMode(true);
  const sql = db.prepare<[string], string>("SELECT sql FROM sqlite_schema WHERE name = ?").pluck().get(index);
  const call = (as: string) => {
    db.pragma("writable_schema = ON");
    db.prepare("UPDATE sqlite_schema SET sql = ? WHERE name = ?").run(as, index);
    db.pragma("writable_schema = RESET");
  };
  call(`${sql} WHERE ${kept}`);
  db.exec(`REINDEX ${index}`);
  call(sql as string);
  db.close();
}
