import type { ComponentChildren } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";

interface Props {
  /** What it is, for somebody who does not see it. */
  readonly name: string;
  /** How it is moved and looks. */
  readonly look: "wide-table" | "table-scroll" | "label-pages";
  readonly children: ComponentChildren;
}

/**
 * What may be wider than the screen, and is then moved in a frame of its own: by the arrows as well. Where all of it is
 * seen, a keyboard does not stop at it.
 */
export function Wide({ name, look, children }: Props) {
  const frame = useRef<HTMLDivElement>(null);
  const [wider, setWider] = useState(false);
  useEffect(() => {
    const element = frame.current;
    if (element === null) return;
    const measure = () => setWider(element.scrollWidth > element.clientWidth);
    const watch = new ResizeObserver(measure);
    for (const each of [element, ...element.children]) watch.observe(each);
    return () => watch.disconnect();
  }, []);
  return (
    <>
      {/* A column that is cut off between two words looks as though there were no more. */}
      {wider && (
        <p class="soft no-print" aria-hidden="true">
          Wider than the screen: move it sideways.
        </p>
      )}
      <div
        class={look}
        ref={frame}
        {...(wider ? { role: "region", "aria-label": `${name}: wider than the screen`, tabIndex: 0 } : {})}
      >
        {children}
      </div>
    </>
  );
}
