import { useEffect } from "preact/hooks";
import type { LabelsView, PrintedLabel } from "../../../../station/model/label.js";

/** Tells the printer the size of a page: by the style sheet's own object, as the pages have no styles in their text. */
export function usePageSize(view: LabelsView | null): void {
  const [width, height] = [view?.sheetWidthMm ?? 0, view?.sheetHeightMm ?? 0];
  useEffect(() => {
    if (width === 0) return;
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(`@page labels { size: ${width}mm ${height}mm; margin: 0; }`);
    document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
    return () => {
      document.adoptedStyleSheets = document.adoptedStyleSheets.filter((each) => each !== sheet);
    };
  }, [width, height]);
}

const mm = (value: number) => `${value}mm`;

/** A sheet of labels in real size. */
export function LabelPage({ view, labels }: { view: LabelsView; labels: readonly PrintedLabel[] }) {
  return (
    <div class="label-page" style={{ inlineSize: mm(view.sheetWidthMm), blockSize: mm(view.sheetHeightMm) }}>
      {labels.map(({ xMm, yMm, widthMm, heightMm, code, block, place, qr }) => (
        <div
          key={code}
          class="label"
          data-testid="label"
          style={{
            insetInlineStart: mm(xMm),
            insetBlockStart: mm(yMm),
            inlineSize: mm(widthMm),
            blockSize: mm(heightMm),
          }}
        >
          <svg
            class="label-qr"
            viewBox={`0 0 ${qr.modules} ${qr.modules}`}
            shape-rendering="crispEdges"
            role="img"
            aria-label={`QR code of ${code}`}
            style={{ blockSize: mm(Math.min(heightMm - 3, widthMm / 2)) }}
          >
            <path d={qr.path} />
          </svg>
          <span class="label-words">
            <strong class="label-code">{code}</strong>
            <span>
              Block {block}, {place}
            </span>
          </span>
        </div>
      ))}
    </div>
  );
}
