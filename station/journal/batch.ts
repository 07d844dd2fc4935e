import type { Parcel } from "./protocol.js";
import type { ParcelQueue } from "./queue.js";

/** Parcels in one commit at most. One that comes meanwhile waits for it, and so does whoever else wants the lock. */
const MOST_PARCELS = 200;

/**
 * What goes on its way together and is committed as one. An action by itself waits for nothing; where the disk is slow, or another
 * program holds the lock, all that comes meanwhile costs one more commit, and not one each.
 * @param mostReadings no further parcel is added once there are as many
 * @param wrapped makes a parcel of what was gathered, if it is time, and returns whether it did
 */
export function takeBatch(queue: ParcelQueue, mostReadings: number, wrapped: () => boolean): Parcel[] {
  const batch: Parcel[] = [];
  let readings = 0;
  while (batch.length < MOST_PARCELS && readings < mostReadings) {
    const parcel = queue.next() ?? (wrapped() ? queue.next() : null);
    if (parcel === null) break;
    batch.push(parcel);
    readings += parcel.readings?.count ?? 0;
  }
  return batch;
}
