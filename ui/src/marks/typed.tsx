/** A sentence of the station in which what is to be typed stands between backticks, shown as such. */
export function Typed({ text }: { text: string }) {
  return (
    <>{text.split("`").map((part, i) => (i % 2 === 1 ? <code key={`${i} ${part}`}>{part}</code> : part))}</>
  );
}
