import { Sign, type SignName } from "../marks/signs.js";
import { moved, PRESETS, type PresetId, presetOf, type Span, zoomed } from "./span.js";

interface Props {
  readonly span: Span;
  readonly following: boolean;
  readonly show: (span: Span) => void;
  readonly preset: (id: PresetId) => void;
  readonly all: () => void;
  readonly latest: () => void;
}

const STEP = 0.5;
const ZOOM = 2;

function Tool(props: { sign: SignName; words: string; testId: string; press: () => void }) {
  return (
    <button type="button" class="button" title={props.words} data-testid={props.testId} onClick={props.press}>
      <Sign name={props.sign} />
      <span class="unseen">{props.words}</span>
    </button>
  );
}

/** Set lengths, and for whoever has neither wheel nor keys, the steps. */
export function Toolbar({ span, following, show, preset, all, latest }: Props) {
  const chosen = presetOf(span);
  return (
    <div class="history-tools">
      <fieldset class="history-presets" aria-label="Length of the span">
        {PRESETS.map(({ id, words }) => (
          <button
            key={id}
            type="button"
            class="button"
            aria-pressed={chosen === id}
            data-testid={`preset-${id}`}
            onClick={() => preset(id)}
          >
            {words}
          </button>
        ))}
        <button type="button" class="button" data-testid="preset-all" onClick={all}>
          All
        </button>
      </fieldset>
      <fieldset class="history-steps" aria-label="Move and zoom">
        <Tool sign="earlier" words="Earlier" testId="earlier" press={() => show(moved(span, -STEP))} />
        <Tool sign="later" words="Later" testId="later" press={() => show(moved(span, STEP))} />
        <Tool sign="zoom-out" words="Zoom out" testId="zoom-out" press={() => show(zoomed(span, ZOOM))} />
        <Tool sign="zoom-in" words="Zoom in" testId="zoom-in" press={() => show(zoomed(span, 1 / ZOOM))} />
        <button
          type="button"
          class="button"
          aria-pressed={following}
          data-testid="to-now"
          title="Move the span so that it ends now, and go on with the time"
          onClick={latest}
        >
          To now
        </button>
      </fieldset>
    </div>
  );
}
