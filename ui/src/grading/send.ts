import { type Delivery, deliver } from "../link/deliver.js";
import type { KeptHere } from "./kept-here.js";
import type { Waiting, WaitingPhoto } from "./waiting.js";

const GRADES_WITHIN_MS = 15_000;
/** A picture of a megabyte over the far end of a workshop's wireless network. */
const PHOTO_WITHIN_MS = 120_000;

/** Sends a parcel of one lane, as the station takes it. */
export async function sendParcel(parcel: readonly Waiting[], kept: KeptHere): Promise<Delivery> {
  const photo = parcel.find((item) => item.kind === "photo");
  if (photo !== undefined) return sendPhoto(photo, await kept.picture(photo.entry));
  const entries = parcel.map(({ place: _place, refused: _refused, ...entry }) => entry);
  return deliver("/entries", {
    body: JSON.stringify({ entries }),
    type: "application/json",
    withinMs: GRADES_WITHIN_MS,
  });
}

async function sendPhoto(photo: WaitingPhoto, picture: ArrayBuffer | null): Promise<Delivery> {
  if (picture === null)
    return { outcome: "refused", why: "The browser has lost this picture: take it again." };
  const { entry, subject, note, enteredWall, by } = photo;
  const query = new URLSearchParams({
    entry,
    subject,
    note,
    enteredWall: String(enteredWall),
    ...(by === null ? {} : { by }),
  });
  return deliver(`/photos?${query}`, { body: picture, type: "image/jpeg", withinMs: PHOTO_WITHIN_MS });
}
