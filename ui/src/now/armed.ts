import { useEffect, useState } from "preact/hooks";

/** The second press of a wet finger must not do what the button has come to mean by the first. */
const ARMED_AFTER_MS = 1500;

/** Whether a press counts: not until a while after the button has come to mean something else. */
export function useArmed(meaning: string): boolean {
  const [armedFor, setArmedFor] = useState(meaning);
  useEffect(() => {
    const arm = setTimeout(() => setArmedFor(meaning), ARMED_AFTER_MS);
    return () => clearTimeout(arm);
  }, [meaning]);
  return armedFor === meaning;
}
