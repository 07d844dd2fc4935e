import { Sign, type SignName } from "./signs.js";

const FLAGS: Readonly<Record<string, { readonly sign: SignName; readonly words: string }>> = {
  "coolant-out-of-range": { sign: "thermometer", words: "Coolant out of range" },
  "conditions-unknown": { sign: "unknown", words: "Conditions unknown" },
  interrupted: { sign: "plug", words: "Interrupted" },
  "extraction-stopped": { sign: "fan", words: "Extraction stopped" },
  simulated: { sign: "made", words: "Simulated" },
};

/** A flag as drawing and words; one this page does not know is shown by its name. */
export function FlagMark({ flag }: { flag: string }) {
  const { sign, words } = FLAGS[flag] ?? { sign: "note" as const, words: flag };
  return (
    <span class={`flag flag-${flag === "simulated" ? "quiet" : "abnormal"}`} data-testid={`flag-${flag}`}>
      <Sign name={sign} />
      <span>{words}</span>
    </span>
  );
}
