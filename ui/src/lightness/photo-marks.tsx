import { useRef, useState } from "preact/hooks";
import { between, MARK_WORDS, type MarkId, type Marks, type Share } from "./marked.js";

interface Props {
  readonly src: string;
  readonly marks: Marks;
  /** What the next drag marks. */
  readonly marking: MarkId;
  readonly mark: (share: Share) => void;
}

/** Less than this is a tap, and marks nothing. */
const LEAST_SHARE = 0.005;

/** A photo on which a finger or the mouse drags rectangles. */
export function PhotoMarks({ src, marks, marking, mark }: Props) {
  const frame = useRef<HTMLDivElement>(null);
  const began = useRef<{ x: number; y: number } | null>(null);
  const [drawn, setDrawn] = useState<Share | null>(null);
  const at = (event: PointerEvent) => {
    const box = frame.current?.getBoundingClientRect();
    if (box === undefined) return { x: 0, y: 0 };
    return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
  };
  const shown: readonly (readonly [MarkId, Share])[] = [
    ...(Object.entries(marks) as [MarkId, Share][]).filter(([id]) => drawn === null || id !== marking),
    ...(drawn === null ? [] : [[marking, drawn] as const]),
  ];
  return (
    <div
      class="photo-marks"
      ref={frame}
      data-testid="photo-marks"
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        began.current = at(event);
      }}
      onPointerMove={(event) => {
        if (began.current === null) return;
        const now = at(event);
        setDrawn(between(began.current.x, began.current.y, now.x, now.y));
      }}
      onPointerUp={() => {
        began.current = null;
        if (drawn !== null && drawn.width > LEAST_SHARE && drawn.height > LEAST_SHARE) mark(drawn);
        setDrawn(null);
      }}
      onPointerCancel={() => {
        began.current = null;
        setDrawn(null);
      }}
    >
      <img src={src} alt="The specimen, with the grey card" draggable={false} />
      {shown.map(([id, { x, y, width, height }]) => (
        <span
          key={id}
          class={id === marking ? "photo-mark photo-mark-now" : "photo-mark"}
          style={{
            insetInlineStart: `${x * 100}%`,
            insetBlockStart: `${y * 100}%`,
            inlineSize: `${width * 100}%`,
            blockSize: `${height * 100}%`,
          }}
        >
          <span class="photo-mark-word">{MARK_WORDS[id]}</span>
        </span>
      ))}
    </div>
  );
}
