import { useState } from "preact/hooks";
import { CHANNEL_KINDS } from "../../../station/model/quantity.js";
import type {
  FoundThing,
  GivenRole,
  HeardBoard,
  SeenValue,
  SetupView,
  TouchVerdict,
} from "../../../station/model/setup.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { askSetup } from "./ask-setup.js";
import type { Chosen } from "./setup-page.js";
import { kindsFor, pointWords, valueText } from "./words.js";

interface Props {
  readonly view: SetupView;
  readonly values: readonly SeenValue[];
  readonly verdict: TouchVerdict | null;
  readonly choose: (chosen: Chosen) => void;
  readonly again: () => void;
}

/** Every thing that is connected with its live values, its roles and the way to another. */
export function ThingList({ view, values, verdict, choose, again }: Props) {
  if (view.things.length === 0) {
    return <p>Nothing that can be measured with was found yet. What to do about it stands below.</p>;
  }
  const moved = new Set(verdict?.moved.map(({ key }) => key));
  return (
    <ul class="setup-things">
      {view.things.map((thing) => (
        <li
          key={thing.key}
          class={moved.has(thing.key) ? "setup-thing setup-moved" : "setup-thing"}
          data-testid={`thing-${thing.key}`}
        >
          <h3>{thing.title}</h3>
          <p class="soft">
            {thing.place}
            {moved.has(thing.key) && <strong class="setup-moves">It moves</strong>}
          </p>
          {thing.points.map(({ point }) => (
            <PointRow
              key={point}
              {...{ thing, point, choose }}
              seen={values.find((each) => each.key === thing.key && each.point === point)}
              locked={view.file.trouble !== null}
            />
          ))}
          {thing.sort === "board" && !thing.held && <Listen thing={thing} heard={again} />}
          {thing.sort === "board" && thing.held && thing.points.length === 0 && (
            <p>The station reads it, and nothing has come yet.</p>
          )}
        </li>
      ))}
    </ul>
  );
}

function roleOf(thing: FoundThing, point: string): GivenRole | undefined {
  return thing.roles.find((role) => role.point === null || role.point === point);
}

function PointRow(props: {
  thing: FoundThing;
  point: string;
  seen: SeenValue | undefined;
  locked: boolean;
  choose: (chosen: Chosen) => void;
}) {
  const { thing, point, seen, locked, choose } = props;
  const role = roleOf(thing, point);
  const unit = thing.points.find((each) => each.point === point)?.unit ?? "state";
  const trouble = seen?.trouble ?? null;
  // While the role does not count yet, what is read is not what it will say.
  const kind = role?.counts ? role.kind : null;
  return (
    <div class="setup-point">
      <p class="setup-value" data-testid={`value-${thing.key}-${point}`}>
        {valueText(seen, kind)}
      </p>
      <p class="setup-role">
        {(thing.points.length > 1 || thing.sort === "board") && <span>{pointWords(point)}: </span>}
        {role === undefined ? (
          "no role yet"
        ) : (
          <>
            <strong>{role.name}</strong>
            {role.name !== CHANNEL_KINDS[role.kind].label && ` (${CHANNEL_KINDS[role.kind].label})`}
            {!role.counts && ", from the next start"}
          </>
        )}
        {trouble !== null && <span class="setup-trouble"> {trouble}</span>}
      </p>
      {kindsFor(unit, thing.sort).length > 0 && !locked && (
        <button
          type="button"
          class="button"
          aria-label={`${role === undefined ? "Give it a role" : "Change"}: ${thing.title}, ${pointWords(point)}`}
          data-testid={`role-${thing.key}-${point}`}
          onClick={() => choose({ thing, point })}
        >
          {role === undefined ? "Give it a role" : "Change"}
        </button>
      )}
    </div>
  );
}

function Listen({ thing, heard }: { thing: FoundThing; heard: () => void }) {
  const { busy, refusal, attempt } = useDoing();
  const [told, setTold] = useState<HeardBoard | null>(null);
  return (
    <div class="setup-listen">
      <button
        type="button"
        class="button"
        aria-disabled={busy}
        data-testid={`listen-${thing.key}`}
        onClick={() =>
          void attempt(async () => {
            setTold(null);
            setTold(await askSetup.listen(thing.key));
            heard();
          })
        }
      >
        {busy ? "Listening…" : thing.points.length === 0 ? "Hear what it sends" : "Hear it again"}
      </button>
      <p role="status">
        {told === null
          ? ""
          : [
              told.text,
              ...told.points.map(
                ({ point, unit, value }) => `${point} ${valueText({ ...SEEN, point, unit, value }, null)}`,
              ),
            ].join(" ")}
      </p>
      <RefusalText refusal={refusal} />
    </div>
  );
}

const SEEN = { key: "", trouble: null, ageMs: 0 } as const;
