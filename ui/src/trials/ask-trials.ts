import type { EntryAnswer, SentEntry } from "../../../station/model/entry.js";
import type { LabelSheet, LabelsView } from "../../../station/model/label.js";
import type { LotFacts, LotView } from "../../../station/model/lot.js";
import type { CheckId, PlanFacts, PlanPhase, PlanPreview } from "../../../station/model/plan.js";
import type { PlanRow, PlanView, Specimen, TrialNow } from "../../../station/model/specimen.js";
import type { LotFocus } from "../../../station/model/workshop.js";
import { call, Refusal } from "../link/ask.js";
import { screenName } from "../shell/screen-name.js";

const at = encodeURIComponent;

/** Questions about lots, plans and specimens. Each rejects with a `Refusal`. */
export const askTrials = {
  lots: async () => (await call<{ lots: LotView[] }>("GET", "/lots")).lots,
  lot: (id: string) => call<LotView>("GET", `/lots/${at(id)}`),
  keepLot: (id: string, facts: LotFacts) =>
    call<{ id: string }>("PUT", `/lots/${at(id)}`, { body: { facts, by: screenName() } }),
  focus: async (lots: readonly string[]) =>
    (await call<{ lots: LotFocus[] }>("GET", `/focus?lots=${lots.map(at).join(",")}`)).lots,
  plans: async () => (await call<{ plans: PlanRow[] }>("GET", "/plans")).plans,
  /** @param base the address that the QR codes open */
  labels: (id: string, sizes: LabelSheet, used: number, base: string) => {
    const query = Object.entries({ ...sizes, used, base }).map(([name, value]) => [name, String(value)]);
    return call<LabelsView>("GET", `/plans/${at(id)}/labels?${new URLSearchParams(query)}`);
  },
  plan: (id: string) => call<PlanView>("GET", `/plans/${at(id)}`),
  layPlan: (id: string, facts: PlanFacts) => call<{ id: string }>("PUT", `/plans/${at(id)}`, { body: facts }),
  preview: (facts: PlanFacts, signal: AbortSignal) =>
    call<PlanPreview>("POST", "/plans/preview", { body: facts, signal }),
  phase: (id: string, phase: Exclude<PlanPhase, "ready">) =>
    call<TrialNow | null>("POST", `/plans/${at(id)}/phase`, { body: { phase, by: screenName() } }),
  checked: (id: string, block: number, done: readonly CheckId[]) =>
    call<TrialNow | null>("POST", `/plans/${at(id)}/checks`, { body: { block, done, by: screenName() } }),
  again: (code: string) => call<Specimen>("POST", `/specimens/${at(code)}/again`, { body: {} }),
  /** One entry; resolves once it counts. @throws Refusal also where the station refused this entry of those sent */
  async enter(entry: SentEntry): Promise<void> {
    const { entries } = await call<{ entries: EntryAnswer[] }>("POST", "/entries", {
      body: { entries: [entry] },
    });
    const refused = entries.find(({ became }) => became === "refused");
    if (refused !== undefined) throw new Refusal(refused.why ?? "The station refused it without a reason.");
  },
};
