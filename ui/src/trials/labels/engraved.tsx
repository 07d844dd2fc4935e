import { useState } from "preact/hooks";
import type { PlanView } from "../../../../station/model/specimen.js";

/** Single-line drawings of the codes, for the laser itself. */
export function Engraved({ plan }: { plan: PlanView }) {
  const [typed, setTyped] = useState("4");
  const height = Number(typed.trim().replace(",", "."));
  const fit = height >= 1 && height <= 100;
  const waiting = plan.blocks.flatMap(({ specimens }) =>
    specimens.filter(({ state }) => state === "waiting"),
  );
  const query = `?height=${height}`;
  return (
    <section class="card" aria-labelledby="engraved-title">
      <h2 id="engraved-title">Codes to engrave</h2>
      <div class="field">
        <label for="letter-height">Height of the letters, mm</label>
        <input
          id="letter-height"
          type="text"
          inputMode="decimal"
          value={typed}
          onInput={(event) => setTyped(event.currentTarget.value)}
        />
      </div>
      {!fit && <p role="alert">Letters are 1 to 100 mm high.</p>}
      {waiting.length === 0 && <p>No specimen is waiting to be cut.</p>}
      {fit && waiting.length > 0 && (
        <>
          <p class="links">
            <a class="button" href={`/api/plans/${plan.id}/codes.svg${query}`} download>
              All of them, SVG
            </a>
            <a class="button" href={`/api/plans/${plan.id}/codes.dxf${query}`} download>
              All of them, DXF
            </a>
          </p>
          <ul class="engraved">
            {waiting.map(({ code }) => (
              <li key={code}>
                <strong class="cutting-code">{code}</strong>{" "}
                <a href={`/api/specimens/${code}/code.svg${query}`} download>
                  SVG
                </a>{" "}
                <a href={`/api/specimens/${code}/code.dxf${query}`} download>
                  DXF
                </a>
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
