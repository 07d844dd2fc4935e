import type { RunRow } from "../../../station/model/now.js";
import { FlagMark } from "../marks/flag.js";
import { lotBeside } from "../words/lot.js";
import { asEntered, NO_VALUE, withUnit } from "../words/number.js";
import { durationText, isoText, whenText } from "../words/time.js";

function settingWords({ power_pct, speed_mm_s }: RunRow["settings"]): string {
  return [
    ...(power_pct === undefined ? [] : [`${asEntered(power_pct)}\u00a0%`]),
    ...(speed_mm_s === undefined ? [] : [`${asEntered(speed_mm_s)}\u00a0mm/s`]),
  ].join(", ");
}

/** One run in the list; the whole line is the link. */
export function RunLine({ run, today }: { run: RunRow; today: number }) {
  const { material } = run.settings;
  const lot = lotBeside(material, run.settings.lot);
  const setting = settingWords(run.settings);
  const startWall = run.placed?.startWall ?? run.startWall;
  return (
    <li>
      <a class="run-line" href={`/runs/${encodeURIComponent(run.id)}`} data-testid={`run-row-${run.number}`}>
        <span class="run-number">
          <span class="unseen">Run </span>
          {run.number}
        </span>
        <span class="run-when">
          <time dateTime={isoText(startWall)}>{whenText(startWall, today)}</time>
          {run.clockAtStart === "not synchronised" && (
            <span class="soft">{run.placed === null ? "clock not set" : "put right afterwards"}</span>
          )}
          <span class="soft">{run.lengthMs === null ? "open" : durationText(run.lengthMs)}</span>
        </span>
        <span class="run-what">
          <span>
            {material ?? <span class="soft">material not said</span>}
            {lot !== null && <span class="soft"> lot {lot}</span>}
          </span>
          {setting !== "" && <span class="soft">{setting}</span>}
        </span>
        <span class="run-coolant">
          <span class="run-label">Coolant mean </span>
          {run.coolantMean === null ? (
            <span class="soft">{run.endWall === null ? NO_VALUE : "unknown"}</span>
          ) : (
            withUnit(run.coolantMean, 1, "Cel")
          )}
        </span>
        <span class="run-flags">
          {run.flags.map(({ flag }) => (
            <FlagMark key={flag} flag={flag} />
          ))}
          {run.simulated && run.flags.every(({ flag }) => flag !== "simulated") && (
            <FlagMark flag="simulated" />
          )}
        </span>
      </a>
    </li>
  );
}
