/** The tools that open every chip there is. */
export type SurveyTool = "gpiodetect" | "gpioinfo";

/**
 * Looks at all chips and lines, one at a time. All lines of a station start together, and each has to know what there is: run
 * side by side, a dozen processes would open every chip while the Pi starts up, and one after the other would come to its limit.
 * So whoever asks for a look that is waited for, or under way, has the answer of that one; who asks later has a new one made.
 *
 * @param run one look. Its limit of time counts from when it is called, not from when it was asked for.
 */
export function sharedSurvey(
  run: (tool: SurveyTool) => Promise<string>,
): (tool: SurveyTool) => Promise<string> {
  const awaited = new Map<SurveyTool, Promise<string>>();
  let last: Promise<unknown> = Promise.resolve();
  return (tool) => {
    const before = awaited.get(tool);
    if (before !== undefined) return before;
    const look = last.then(() => run(tool)).finally(() => awaited.delete(tool));
    // What became of one is no matter of the next.
    last = look.catch(() => {});
    awaited.set(tool, look);
    return look;
  };
}
