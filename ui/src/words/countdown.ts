/** "12:05" of minutes and seconds, from seconds ≥ 0; hours are told in minutes. */
export function countdown(seconds: number): string {
  const whole = Math.max(0, Math.ceil(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
