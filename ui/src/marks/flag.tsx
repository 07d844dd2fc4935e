import { Sign, type SignName } from "./signs.js";

const FLAGS: Readonly<Record<string, { readonly sign: SignName; readonly words: string }>> = {
  "coolant-out-of-range": { sign: "thermometer", words: "Coolant out of range" },
  "conditions-unknown": { sign: "unknown", words: "Conditions unknown" },
  interrupted: { sign: "plug", words: "Interrupted" },
  "extraction-stopped": { sign: "fan", words: "Extraction stopped" },
  simulated: { sign: "made", words: "Simulated" },
};

export function flagWords(flag: string): string {
  return FLAGS[flag]?.words ?? flag;
}

/** A flag as drawing and words; one this page does not know is shown by its name. */
export function FlagMark({ flag }: { flag: string }) {
  return (
    <span class={`flag flag-${flag === "simulated" ? "quiet" : "abnormal"}`} data-testid={`flag-${flag}`}>
      <Sign name={FLAGS[flag]?.sign ?? "note"} />
      <span>{flagWords(flag)}</span>
    </span>
  );
}
