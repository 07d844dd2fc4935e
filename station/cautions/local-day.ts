/** The day that a wall time, UTC milliseconds, lies in where this machine stands: "2026-11-27". */
export function localDay(wall: number): string {
  const at = new Date(wall);
  const two = (part: number) => String(part).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}
