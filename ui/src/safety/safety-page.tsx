import type { Caution, CautionTopic } from "../../../station/model/caution.js";
import { ask } from "../link/ask.js";
import { useAsked } from "../link/asked.js";
import { start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { CautionCard } from "./caution-card.js";
import { EmergencyCard } from "./emergency-card.js";
import { CheckListLinks, LimitsTable, NeverCutList } from "./lists.js";

const TOPICS: Readonly<Record<CautionTopic, string>> = {
  fire: "Fire",
  fume: "Fume",
  dust: "Dust",
  laser: "Laser beam",
  electrical: "Electricity",
  coolant: "Coolant",
  optics: "Optics",
};

function byTopic(cautions: readonly Caution[]): readonly (readonly [CautionTopic, readonly Caution[]])[] {
  return (Object.keys(TOPICS) as CautionTopic[])
    .map(
      (topic) =>
        [
          topic,
          cautions.filter((c) => c.topic === topic).sort((a, b) => a.seriousness - b.seriousness),
        ] as const,
    )
    .filter(([, list]) => list.length > 0);
}

export function SafetyPage() {
  usePageTitle("Safety");
  const { answer, refusal, again } = useAsked(start.value, ask.cautions);
  return (
    <div class="page">
      <h1>Safety</h1>
      <RefusalText refusal={refusal} again={again} />
      {answer && (
        <>
          <EmergencyCard />
          <nav class="topics" aria-label="Topics">
            {byTopic(answer.cautions).map(([topic]) => (
              <a key={topic} class="button" href={`#topic-${topic}`}>
                {TOPICS[topic]}
              </a>
            ))}
            <a class="button" href="#never-cut">
              Never to be cut
            </a>
            <a class="button" href="#limits">
              Limits
            </a>
          </nav>
          <CheckListLinks lists={answer.checklists} />

          <section class="card statement" aria-labelledby="statement-title">
            <h2 id="statement-title">What this station is, and is not</h2>
            <p class="statement-short">{answer.statement.short}</p>
            {answer.statement.long.map((paragraph) => (
              <p key={paragraph}>{paragraph}</p>
            ))}
          </section>
          {byTopic(answer.cautions).map(([topic, cautions]) => (
            <section key={topic} aria-labelledby={`topic-${topic}`}>
              <h2 id={`topic-${topic}`}>{TOPICS[topic]}</h2>
              <div class="cautions">
                {cautions.map((caution) => (
                  <CautionCard key={caution.id} caution={caution} />
                ))}
              </div>
            </section>
          ))}
          <NeverCutList rows={answer.neverCut} />
          <LimitsTable limits={answer.limits} />
        </>
      )}
    </div>
  );
}
