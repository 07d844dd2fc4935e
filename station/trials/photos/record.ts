import { AppError } from "../../errors.js";
import type { TrialReads } from "../../journal/trials/calls.js";
import type { Entry, EntryAnswer, KeptEntry } from "../../model/entry.js";
import type { Clock } from "../../model/instant.js";
import type { PhotoRow } from "../../model/photo.js";
import { type Kept, keptWithin } from "../kept.js";
import { photoRowOf } from "../lot-view.js";
import type { PhotoDesk } from "./desk.js";

/** What comes with a photo. The id is given by whoever sends it, so that what is sent twice is kept once. */
export interface SentPhoto {
  readonly entry: string;
  /** The code of a specimen or the id of a lot. */
  readonly subject: string;
  readonly note: string;
  readonly enteredWall: number | null;
  readonly by: string | null;
}

export interface PhotoRecordParts {
  readonly clock: Clock;
  readonly desk: PhotoDesk;
  readonly enter: (entries: readonly Entry[]) => Promise<Kept<readonly EntryAnswer[]>>;
  readonly ask: <K extends "entry" | "specimen" | "lot">(
    question: K,
    params: TrialReads[K]["params"],
  ) => Promise<TrialReads[K]["result"]>;
}

/** Photos of specimens and lots: the picture on the disk first, then its row. */
export function createPhotoRecord({ clock, desk, enter, ask }: PhotoRecordParts) {
  return {
    /** @throws AppError "specimen-unknown" where there is no such subject; as `PhotoDesk.take` */
    async add(photo: SentPhoto, body: AsyncIterable<Uint8Array>): Promise<Kept<PhotoRow>> {
      const known = await ask("entry", photo.entry);
      if (known !== null) return { value: photoRowOf(known as KeptEntry<"photo">), kept: true };
      const [specimen, lot] = [await ask("specimen", photo.subject), await ask("lot", photo.subject)];
      if (specimen === null && lot === null)
        throw new AppError("specimen-unknown", `There is no specimen and no lot ${photo.subject}.`);
      const { sha256, width, height, bytes, takenAt } = await desk.take(body);
      const { entry, subject, note, enteredWall, by } = photo;
      const kept: Entry<"photo"> = {
        ...{ entry, kind: "photo", subject, property: "", enteredWall, by },
        body: { sha256, width, height, bytes, takenAt, note },
      };
      const row: PhotoRow = { entry, sha256, width, height, bytes, wall: clock.now().wall, note };
      return keptWithin(
        enter([kept]).then(() => row),
        row,
      );
    },
  };
}
