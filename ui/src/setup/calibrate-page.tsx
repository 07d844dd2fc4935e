import { useEffect, useRef, useState } from "preact/hooks";
import type {
  Bath,
  CalibrationView,
  ThermometerView,
  Truth,
} from "../../../station/model/calibration-view.js";
import type { SetupPreview } from "../../../station/model/setup.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { useExpected } from "../settings/expected.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { ChoiceRow } from "../trials/typed/choice-row.js";
import { TypedField } from "../trials/typed/typed-field.js";
import { askSetup } from "./ask-setup.js";
import { BathCard } from "./bath-card.js";
import { type BathDraft, EMPTY_BATH, truthOf } from "./bath-draft.js";
import { CalibrationGiven } from "./calibration-given.js";
import { useThermometers } from "./use-thermometers.js";
import { WrittenText } from "./written-text.js";

/** A thermometer is held against ice water and a reference thermometer, and what comes of it written to station.yaml. */
export function CalibratePage() {
  usePageTitle("Calibrate a thermometer");
  const { view, refusal, show } = useThermometers();
  return (
    <div class="page">
      <PageTop back="/setup" word="Set up">
        <h1>Calibrate a thermometer</h1>
      </PageTop>
      <RefusalText refusal={refusal} />
      {view?.simulated && (
        <p class="card">
          This is the simulated bench: its thermometers are right by themselves, and nothing is written for
          them. Set sensors up first.
        </p>
      )}
      {view !== null && !view.simulated && <Chosen view={view} show={show} />}
    </div>
  );
}

interface ChosenProps {
  readonly view: CalibrationView;
  readonly show: (view: CalibrationView) => void;
}

function Chosen({ view, show }: ChosenProps) {
  const { thermometers, hash } = view;
  const [channel, setChannel] = useState(thermometers[0]?.channel ?? "");
  const thermometer = thermometers.find((each) => each.channel === channel);
  if (thermometer === undefined) return <p class="card">No thermometer is set up.</p>;
  return (
    <>
      <section class="card calibrate">
        <ChoiceRow
          legend="Which one?"
          choices={thermometers.map((each) => [each.channel, each.name] as const)}
          value={channel}
          change={setChannel}
        />
        <p>
          {thermometer.inFile === null
            ? "It has no calibration yet."
            : `It has one of ${thermometer.inFile.length} points. This makes a new one in its place.`}
        </p>
        <p class="soft">
          You need a cup of crushed ice just covered with water, a cup of water at some 30 °C, and a
          thermometer that you know to be right. Switch the machine off before you take a probe out of the
          loop. Its alarms will rise meanwhile: shelve them for the time it takes.
        </p>
      </section>
      <Baths key={channel} {...{ thermometer, hash, show }} />
    </>
  );
}

interface BathsProps {
  readonly thermometer: ThermometerView;
  readonly hash: string;
  readonly show: (view: CalibrationView) => void;
}

function Baths({ thermometer, hash, show }: BathsProps) {
  const { channel } = thermometer;
  const [draft, setDraft] = useState<BathDraft>(EMPTY_BATH);
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  const [preview, setPreview] = useState<SetupPreview | null>(null);
  const [written, setWritten] = useState(false);
  const low = useDoing();
  const high = useDoing();
  const showing = useDoing();
  const form = useRef<HTMLDivElement>(null);
  const told = useRef<HTMLParagraphElement>(null);
  const expected = useExpected(high.refusal, wrong, form, truthOf(draft).wrong);
  const change = (more: Partial<BathDraft>) => setDraft({ ...draft, ...more });
  const taking = (doing: typeof low, bath: Bath, truth: Truth) =>
    void doing.attempt(async () => show(await askSetup.takePoint(channel, bath, truth)));
  const forgetting = (doing: typeof low, bath: Bath) =>
    void doing.attempt(async () => show(await askSetup.forgetPoint(channel, bath)));
  useEffect(() => {
    if (written) told.current?.focus();
  }, [written]);
  const asked = { act: "calibrate", channel } as const;
  const nowhere = { lines: [], bias: null };
  if (written) {
    return (
      <section class="card calibrate">
        <p role="status" tabIndex={-1} ref={told} data-testid="calibration-written">
          Written. It counts from the next start of the station.
        </p>
        <a class="way" href="/setup">
          Start again, or take it back
        </a>
      </section>
    );
  }
  if (preview !== null) {
    return (
      <WrittenText
        preview={preview}
        write={async () => {
          await askSetup.write(asked, nowhere, hash);
          setWritten(true);
        }}
        leave={() => setPreview(null)}
        again={() => setPreview(null)}
      />
    );
  }
  return (
    <>
      <BathCard
        bath="low"
        title="1. Ice water"
        {...{ thermometer, doing: low }}
        take={() => taking(low, "low", { by: "ice" })}
        forget={() => forgetting(low, "low")}
      >
        <p>
          Crush the ice, cover it with cold water, stir, and wait two minutes. Hold the probe in the middle,
          off the walls, with ice around it. It is 0 °C there to within 0.1 °C.
        </p>
      </BathCard>
      <div ref={form}>
        <BathCard
          bath="high"
          title="2. Warm water, and a thermometer you trust"
          {...{ thermometer, doing: high }}
          take={() => {
            const read = truthOf(draft);
            setWrong(read.wrong);
            if (read.truth !== null) taking(high, "high", read.truth);
          }}
          forget={() => forgetting(high, "high")}
        >
          <p>
            Tie the probe and the tip of the thermometer together, stir, and read the thermometer when both
            have come to rest.
          </p>
          <TypedField
            {...{ name: "truth", label: "The thermometer reads", unit: "°C", kind: "number", wide: "half" }}
            value={draft.truth}
            wrong={expected}
            change={(truth) => change({ truth })}
          />
          <ChoiceRow
            legend="How good is it?"
            choices={[
              ["limits", "Good to ± so many degrees, as its sheet says"],
              ["certificate", "It has a certificate"],
            ]}
            value={draft.by}
            change={(by) => change({ by })}
          />
          {draft.by === "limits" ? (
            <TypedField
              {...{ name: "within", label: "Good to ±", unit: "°C", kind: "number", wide: "half" }}
              value={draft.within}
              wrong={expected}
              change={(within) => change({ within })}
            />
          ) : (
            <>
              <TypedField
                {...{
                  name: "expanded",
                  label: "Its uncertainty U",
                  unit: "°C",
                  kind: "number",
                  wide: "half",
                }}
                value={draft.expanded}
                wrong={expected}
                change={(expanded) => change({ expanded })}
              />
              <TypedField
                {...{ name: "coverage", label: "for a coverage factor k of", kind: "number", wide: "half" }}
                value={draft.coverage}
                wrong={expected}
                change={(coverage) => change({ coverage })}
              />
            </>
          )}
        </BathCard>
      </div>
      <CalibrationGiven
        thermometer={thermometer}
        doing={showing}
        show={() =>
          void showing.attempt(async () => setPreview(await askSetup.preview(asked, nowhere, hash)))
        }
      />
    </>
  );
}
