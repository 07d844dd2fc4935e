/** By the station's own time zone. "21:05" */
export function timeOfDay(wall: number): string {
  const date = new Date(wall);
  return [date.getHours(), date.getMinutes()].map((part) => String(part).padStart(2, "0")).join(":");
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** "4 May 2026, 21:05" */
export function momentInWords(wall: number): string {
  const date = new Date(wall);
  return `${date.getDate()} ${MONTHS[date.getMonth()]} ${date.getFullYear()}, ${timeOfDay(wall)}`;
}
