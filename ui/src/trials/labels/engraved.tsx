import { useState } from "preact/hooks";
import type { PlanView } from "../../../../station/model/specimen.js";
import { readForm } from "../typed/numbers.js";
import { TypedField } from "../typed/typed-field.js";

/** Single-line drawings of the codes, for the laser itself. */
export function Engraved({ plan }: { plan: PlanView }) {
  const [typed, setTyped] = useState("4");
  const form = readForm();
  const height = form.needed("height", typed, { least: 1, most: 100 });
  const fit = form.wrong.size === 0;
  const waiting = plan.blocks.flatMap(({ specimens }) =>
    specimens.filter(({ state }) => state === "waiting"),
  );
  const query = `?height=${height}`;
  return (
    <section class="card" aria-labelledby="engraved-title">
      <h2 id="engraved-title">Codes to engrave</h2>
      <div class="label-sizes">
        <TypedField
          name="height"
          label="Height of the letters"
          unit="mm"
          kind="number"
          value={typed}
          wrong={form.wrong}
          change={setTyped}
        />
      </div>
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
