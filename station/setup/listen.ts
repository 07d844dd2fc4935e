import type { Clock } from "../model/instant.js";
import type { RawReading } from "../model/reading.js";
import type { HeardBoard } from "../model/setup.js";
import type { Source } from "../model/source.js";
import type { DriverEntry } from "../sources/drivers.js";

/** So long a board is listened to, and so long after its first frame, for what it sends less often; milliseconds. */
const LISTEN_MS = 6_000;
const MORE_MS = 2_500;

export interface ListenParts {
  readonly create: (entry: DriverEntry) => Source;
  readonly clock: Clock;
}

/** Opens a board's port for some seconds, and tells what it sends. */
export async function listenTo(entry: DriverEntry, { create, clock }: ListenParts): Promise<HeardBoard> {
  const source = create(entry);
  const last = new Map<string, Extract<RawReading, { value: number }>>();
  const began = clock.now().mono;
  await new Promise<void>((resolve) => {
    let over = setTimeout(resolve, LISTEN_MS);
    source.start({
      reading: (raw) => {
        if (!("value" in raw)) return;
        if (last.size === 0) {
          clearTimeout(over);
          const left = LISTEN_MS - (clock.now().mono - began);
          over = setTimeout(resolve, Math.max(0, Math.min(MORE_MS, left)));
        }
        last.set(raw.point, raw);
      },
      status: () => undefined,
    });
  });
  const { detail, dropped } = source.status();
  await source.stop();
  const points = [...last.values()].map(({ point, unit, value }) => ({ point, unit, value }));
  return { points, text: wordsOf(points.length, detail, dropped) };
}

function wordsOf(points: number, detail: string | null, dropped: Readonly<Record<string, number>>): string {
  if (points > 0) return points === 1 ? "It sends one value." : `It sends ${points} values.`;
  const lines = Object.values(dropped).reduce((sum, count) => sum + count, 0);
  if (detail !== null) return `Nothing was understood: ${detail}.`;
  return lines > 0
    ? "Something is sent, and no line of it is of the station's protocol: firmware-notes/serial-protocol.md says what a board sends."
    : `Nothing came within ${LISTEN_MS / 1000} s. Is this the board, and does its program send lines?`;
}
