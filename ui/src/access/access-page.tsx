import { useEffect, useState } from "preact/hooks";
import type { AccessView } from "../../../station/model/access.js";
import { useAsked, useDoing } from "../link/asked.js";
import { start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { askAccess } from "./ask-access.js";
import { FirstPassphrase } from "./first-passphrase.js";
import { may, me } from "./me.js";
import { OwnCard } from "./own-card.js";
import { PairingCard } from "./pairing-card.js";
import { PeopleCard } from "./people-card.js";
import { PinCard } from "./pin-card.js";
import { SessionsCard } from "./sessions-card.js";

/** Who may look, operate and own: people, screens, phones and the PIN. */
export function AccessPage() {
  usePageTitle("Access");
  const known = me.value;
  return (
    <div class="page">
      <h1>Access</h1>
      {known?.state === "open" && <FirstPassphrase />}
      {known?.state === "unread" && (
        <p class="refusal" role="alert">
          The disk has not told yet who may sign in. Until it does, everybody can look at the station itself,
          and nobody can change anything.
        </p>
      )}
      {known?.state === "unreadable" && (
        <p class="refusal" role="alert">
          The station cannot read who may sign in, and listens on itself only. Stop it and give a new
          passphrase: <code>npm run station -- passphrase</code>
        </p>
      )}
      {known?.state === "locked" && (
        <>
          <div class="pair">
            <OwnCard />
            {may("operator") && !may("owner") && <PairingCard addresses={[]} />}
          </div>
          {may("owner") && <OwnersPart key={known.who} />}
        </>
      )}
    </div>
  );
}

function OwnersPart() {
  const { answer, refusal, again } = useAsked(`${start.value} access`, askAccess.view);
  const [view, setView] = useState<AccessView | null>(null);
  useEffect(() => {
    if (answer !== null) setView(answer);
  }, [answer]);
  if (view === null) return <RefusalText refusal={refusal} again={again} />;
  return (
    <>
      <div class="pair">
        <PairingCard addresses={view.network.addresses} />
        <SessionsCard sessions={view.sessions} took={setView} />
        <PeopleCard people={view.people} took={setView} />
        <PinCard pin={view.pin} took={setView} />
      </div>
      <section class="card" aria-labelledby="network-title">
        <h2 id="network-title">The network</h2>
        <p data-testid="network">{view.network.text}</p>
        {view.network.addresses.length > 0 && (
          <ul>
            {view.network.addresses.map((address) => (
              <li key={address}>
                <code>{address}</code>
              </li>
            ))}
          </ul>
        )}
        <ScraperToken set={view.scraperTokenSet} />
      </section>
      <p>
        <a class="way" href="/deeds">
          Who did what
        </a>
      </p>
    </>
  );
}

function ScraperToken({ set }: { set: boolean }) {
  const [token, setToken] = useState<string | null>(null);
  const { busy, refusal, attempt } = useDoing();
  return (
    <details>
      <summary>A program that reads the metrics from the network</summary>
      <p>
        It asks for <code>/metrics</code> with <code>Authorization: Bearer</code> and a token.{" "}
        {set ? "One has been made; a new one takes its place." : "None has been made."}
      </p>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class="button"
        aria-disabled={busy}
        onClick={() => void attempt(async () => setToken((await askAccess.newScraperToken()).token))}
      >
        Make a token
      </button>
      {token !== null && (
        <p role="status">
          It is shown this once: <code class="token">{token}</code>
        </p>
      )}
    </details>
  );
}
