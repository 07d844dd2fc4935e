import { type DBSchema, type IDBPDatabase, type IDBPTransaction, openDB, type StoreNames } from "idb";
import type { GradingSheet, PlanView } from "../../../station/model/specimen.js";
import { hasSpecimen, type KeptHere, type Lately, MOST_LATELY, settledSheet, sheetKey } from "./kept-here.js";
import type { Waiting } from "./waiting.js";

interface Schema extends DBSchema {
  waiting: { key: number; value: Waiting };
  /** By the id of the entry. Bytes and no blob: browsers have lost blobs that were kept so. */
  pictures: { key: string; value: ArrayBuffer };
  sheets: { key: string; value: { readonly sheet: GradingSheet; readonly wall: number } };
  plans: { key: string; value: { readonly plan: PlanView; readonly wall: number } };
  lately: { key: string; value: Lately };
}
type Db = IDBPDatabase<Schema>;

const NAME = "station-grading";
/** What the station said longer ago is let go. */
const FORGOTTEN_AFTER_MS = 60 * 86_400_000;

/** In the browser's own database, which outlives the page. @throws DOMException where the browser does not allow one */
export async function openKeptHere(wall: () => number): Promise<KeptHere> {
  let db: Promise<Db> | null = open();
  await forget(await db, wall() - FORGOTTEN_AFTER_MS);

  function open(): Promise<Db> {
    return openDB<Schema>(NAME, 1, {
      upgrade(made) {
        made.createObjectStore("waiting", { keyPath: "place", autoIncrement: true });
        for (const store of ["pictures", "sheets", "plans"] as const) made.createObjectStore(store);
        made.createObjectStore("lately", { keyPath: "code" });
      },
      blocking: () => void db?.then((each) => each.close()),
      terminated: () => {
        db = null;
      },
    });
  }

  /** All of it, on the disk, or nothing. */
  async function write<S extends StoreNames<Schema>>(
    stores: S[],
    work: (tx: IDBPTransaction<Schema, S[], "readwrite">) => Promise<unknown>,
  ): Promise<void> {
    db ??= open();
    const tx = (await db).transaction(stores, "readwrite", { durability: "strict" });
    const [worked] = await Promise.allSettled([work(tx)]);
    if (worked.status === "rejected") {
      try {
        tx.abort();
      } catch {
        // It had ended by itself, as it does where there is no room.
      }
    }
    await tx.done.catch((error: unknown) => {
      throw worked.status === "rejected" ? worked.reason : error;
    });
    if (worked.status === "rejected") throw worked.reason;
  }
  const read = async () => {
    db ??= open();
    return db;
  };

  return {
    waiting: async () => (await read()).getAll("waiting"),
    add: (entered, picture, title) =>
      write(["waiting", "pictures", "lately"], async (tx) => {
        // The place is given by the database, which counts over all pages of this browser.
        await tx.objectStore("waiting").add({ ...entered, refused: null } as Waiting);
        if (picture !== null) await tx.objectStore("pictures").put(picture, entered.entry);
        if (title === null) return;
        const lately = tx.objectStore("lately");
        await lately.put({ code: entered.subject, title, wall: entered.enteredWall });
        const all = (await lately.getAll()).sort((a, b) => b.wall - a.wall);
        for (const { code } of all.slice(MOST_LATELY)) await lately.delete(code);
      }),
    picture: async (entry) => (await (await read()).get("pictures", entry)) ?? null,
    settle: (item, answer) =>
      write(["waiting", "pictures", "sheets"], async (tx) => {
        await tx.objectStore("waiting").delete(item.place);
        await tx.objectStore("pictures").delete(item.entry);
        const sheets = tx.objectStore("sheets");
        for (const grading of [1, 2] as const) {
          const key = sheetKey(item.subject, grading);
          const kept = await sheets.get(key);
          if (kept !== undefined)
            await sheets.put({ ...kept, sheet: settledSheet(kept.sheet, item, answer) }, key);
        }
      }),
    refuse: (item, why) =>
      write(["waiting"], async (tx) => {
        // Another page may have been told the same, and a person have read it there.
        const there = await tx.objectStore("waiting").get(item.place);
        if (there?.entry === item.entry) await tx.objectStore("waiting").put({ ...item, refused: why });
      }),
    dismiss: (item) =>
      write(["waiting", "pictures"], async (tx) => {
        await tx.objectStore("waiting").delete(item.place);
        await tx.objectStore("pictures").delete(item.entry);
      }),
    sheet: async (code, grading) =>
      (await (await read()).get("sheets", sheetKey(code, grading)))?.sheet ?? null,
    keepSheet: (sheet) =>
      write(["sheets"], (tx) =>
        tx.objectStore("sheets").put({ sheet, wall: wall() }, sheetKey(sheet.code, sheet.grading)),
      ),
    plan: async (id) => (await (await read()).get("plans", id))?.plan ?? null,
    async planWith(code) {
      const plans = await (await read()).getAll("plans");
      return plans.find(({ plan }) => hasSpecimen(plan, code))?.plan ?? null;
    },
    keepPlan: (plan) =>
      write(["plans"], (tx) => tx.objectStore("plans").put({ plan, wall: wall() }, plan.id)),
    lately: async () => (await (await read()).getAll("lately")).sort((a, b) => b.wall - a.wall),
  };
}

async function forget(db: Db, before: number): Promise<void> {
  const tx = db.transaction(["sheets", "plans"], "readwrite");
  for (const store of ["sheets", "plans"] as const) {
    for await (const cursor of tx.objectStore(store)) if (cursor.value.wall < before) await cursor.delete();
  }
  await tx.done;
}
