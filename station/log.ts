export type Level = "info" | "warn" | "error";
export type Log = (
  level: Level,
  message: string,
  facts?: Readonly<Record<string, string | number | boolean | null>>,
) => void;

/** One line an event, for journald or a terminal: plain words first, then the facts as name=value. */
export function createLog(write: (line: string) => void, now: () => Date): Log {
  return (level, message, facts = {}) => {
    const tail = Object.entries(facts).map(([name, value]) => ` ${name}=${quote(value)}`);
    write(`${now().toISOString()} ${level} ${oneLine(message)}${tail.join("")}\n`);
  };
}

function quote(value: string | number | boolean | null): string {
  const text = oneLine(String(value));
  return /[\s"=]/.test(text) ? JSON.stringify(text) : text;
}

/** What a sensor or a person typed must not be able to forge a line of the log. */
function oneLine(text: string): string {
  return text.replace(/\p{Cc}+/gu, " ");
}
