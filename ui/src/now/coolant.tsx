import type { LiveChannel, NowSnapshot } from "../../../station/model/now.js";
import { LineChart } from "../charts/line-chart.js";
import { silentMs } from "../link/heard.js";
import { LINE_MS } from "../link/line.js";
import { coolantLine } from "../link/live.js";
import { Sign } from "../marks/signs.js";
import { asEntered, NO_VALUE, numberText, unitLabel } from "../words/number.js";
import { ageText } from "../words/time.js";
import { unbroken } from "../words/unbroken.js";

function coolantChannel(now: NowSnapshot): LiveChannel | undefined {
  return now.channels.find((channel) => channel.id === now.coolant.channel);
}

export function Coolant({ now }: { now: NowSnapshot }) {
  const channel = coolantChannel(now);
  const { low, high, trend, trendText } = now.coolant;
  const check = now.readiness.checks.find(({ subject }) => subject === "coolant");
  const value = channel?.value ?? null;
  // A tenth is as much as can be read across a room; the finer places are in the runs.
  const digits = value === null ? `${NO_VALUE}${NO_VALUE}` : numberText(value, 1);
  const look = value === null ? "coolant-blank" : check?.fitness === "not-fit" ? "coolant-abnormal" : "";
  return (
    <section class={`coolant ${look}`} aria-labelledby="coolant-title">
      <header>
        <h2 id="coolant-title">{channel?.name ?? "Coolant"}</h2>
        <p class="coolant-range">
          set range {asEntered(low)} to {asEntered(high)} {unitLabel("Cel")}
        </p>
      </header>
      <p class="coolant-figure">
        <span
          class={digits.length > 4 ? "coolant-digits coolant-digits-long" : "coolant-digits"}
          data-testid="coolant-value"
        >
          {digits}
        </span>
        <span class="coolant-unit">{unitLabel(channel?.unit ?? "Cel")}</span>
      </p>
      {channel === undefined && <p class="doubt">No channel measures the coolant.</p>}
      {channel && channel.quality !== "good" && (
        <p class={`doubt doubt-${channel.quality}`}>
          <Sign name="unknown" />
          <span>
            {channel.quality === "bad" ? "No value" : "Doubtful"}: {channel.reasonText}
            {channel.reason === "stale" &&
              channel.ageMs !== null &&
              `, last heard ${ageText(channel.ageMs + silentMs.value)} ago`}
          </span>
        </p>
      )}
      {value !== null && (
        <p class="trend" data-testid="trend">
          <Sign name={trend} />
          <span>{unbroken(trendText)}</span>
        </p>
      )}
      <LineChart
        name="Coolant over the last ten minutes"
        unit="Cel"
        decimals={1}
        buckets={coolantLine.value}
        from={now.wall - LINE_MS}
        to={now.wall}
        range={{ low, high }}
      />
    </section>
  );
}
