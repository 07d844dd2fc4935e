import { useEffect, useId, useRef, useState } from "preact/hooks";
import type { PhotoRow } from "../../../station/model/photo.js";
import { Sign } from "../marks/signs.js";
import { isoText, whenText } from "../words/time.js";
import { enterPhoto, keptHere } from "./outbox.js";
import { smallerPicture } from "./smaller.js";
import type { WaitingPhoto } from "./waiting.js";

interface Props {
  /** The code of a specimen, or the id of a lot. */
  readonly subject: string;
  /** What people call it. */
  readonly called: string;
  /** Of the specimen's plan; null for a lot. */
  readonly title: string | null;
  readonly photos: readonly PhotoRow[];
  readonly waiting: readonly WaitingPhoto[];
  readonly today: number;
}

const LONGEST_NOTE = 200;

/** Photos of a specimen or a lot: those that the station has, those that wait here, and the way to take more. */
export function Photos({ subject, called, title, photos, waiting, today }: Props) {
  const field = useId();
  const noteField = useId();
  const [note, setNote] = useState("");
  const [making, setMaking] = useState<{ at: number; of: number } | null>(null);
  const [wrong, setWrong] = useState<readonly string[]>([]);
  const take = async (files: readonly File[]) => {
    setWrong([]);
    for (const [i, file] of files.entries()) {
      setMaking({ at: i + 1, of: files.length });
      try {
        await enterPhoto({ subject, note: note.trim() }, await smallerPicture(file), title);
      } catch (error) {
        setWrong((was) => [...was, error instanceof Error ? error.message : String(error)]);
      }
    }
    setMaking(null);
    setNote("");
  };
  return (
    <section class="card" aria-labelledby="photos-title" data-testid="photos">
      <h2 id="photos-title">Photos</h2>
      {photos.length + waiting.length === 0 && <p class="soft">None yet.</p>}
      <ul class="photos">
        {photos.map((photo) => (
          <li key={photo.entry} data-testid="photo-kept">
            <a href={`/api/photos/${photo.sha256}.jpg`} target="_blank" rel="noreferrer">
              <img
                src={`/api/photos/${photo.sha256}-small.jpg`}
                alt={photo.note === "" ? `Photo of ${called}` : photo.note}
                loading="lazy"
              />
            </a>
            <p class="photo-words">
              <time dateTime={isoText(photo.wall)}>{whenText(photo.wall, today)}</time>
              {photo.note !== "" && <span>{photo.note}</span>}
              {title !== null && <a href={`/s/${subject}/photo/${photo.sha256}`}>How light is it?</a>}
            </p>
          </li>
        ))}
        {waiting.map((photo) => (
          <li key={photo.entry} data-testid="photo-waiting">
            <WaitingPicture photo={photo} called={called} />
            <p class="photo-words">
              <strong class="given-waits">
                <Sign name={photo.refused === null ? "clock" : "note"} />{" "}
                {photo.refused === null ? "waits here" : "not taken"}
              </strong>
              {photo.note !== "" && <span>{photo.note}</span>}
            </p>
          </li>
        ))}
      </ul>
      <div class="field photo-note">
        <label for={noteField}>
          What the next one shows <span class="soft">(may be left empty)</span>
        </label>
        <input
          id={noteField}
          type="text"
          maxLength={LONGEST_NOTE}
          value={note}
          onInput={(event) => setNote(event.currentTarget.value)}
        />
      </div>
      <label class="button button-main photo-take" for={field}>
        <Sign name="camera" />{" "}
        {making === null ? "Take a photo" : `Making it smaller: ${making.at} of ${making.of}`}
        <input
          id={field}
          type="file"
          class="unseen"
          accept="image/*"
          capture="environment"
          multiple
          data-testid="photo-input"
          onChange={(event) => {
            const input = event.currentTarget;
            const files = [...(input.files ?? [])];
            // The same picture may be chosen again.
            void take(files).then(() => {
              input.value = "";
            });
          }}
        />
      </label>
      {wrong.map((words, i) => (
        <p class="refusal" role="alert" key={`${i} ${words}`}>
          {words}
        </p>
      ))}
    </section>
  );
}

function WaitingPicture({ photo, called }: { photo: WaitingPhoto; called: string }) {
  const image = useRef<HTMLImageElement>(null);
  useEffect(() => {
    let address: string | null = null;
    let wanted = true;
    void keptHere()
      .then((kept) => kept.picture(photo.entry))
      .then((bytes) => {
        if (!wanted || bytes === null || image.current === null) return;
        address = URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" }));
        image.current.src = address;
      });
    return () => {
      wanted = false;
      if (address !== null) URL.revokeObjectURL(address);
    };
  }, [photo.entry]);
  return <img ref={image} alt={photo.note === "" ? `Photo of ${called}` : photo.note} />;
}
