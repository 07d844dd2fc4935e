import type { GpiodTools, RunningTool } from "./gpiod-tools.js";
import { type GpiodVersion, putArguments, setArguments, type ToolLine } from "./gpiod-words.js";
import type { GpioLine, Level } from "./line.js";

/**
 * An output line that gpioset holds at a level. For another level it is ended and started anew: in between the line is as the
 * kernel leaves it, for some milliseconds.
 *
 * The gpioset that holds a line never says that it has it. On a busy machine it may be ended before it was as far: a lamp that was to go
 * out stayed on. So the line is put to its level by another first, which ends when it has done so, or says why it cannot.
 */
export async function drivenLine(
  line: ToolLine,
  first: Level,
  deps: { readonly tools: GpiodTools; readonly version: GpiodVersion },
): Promise<GpioLine> {
  const { tools, version } = deps;
  let tool: RunningTool | null = null;
  let lost: Error | null = null;
  let level = first;
  let closed = false;

  const drive = async (to: Level) => {
    const before = tool;
    tool = null;
    before?.stop();
    await before?.ended;
    await tools.run("gpioset", putArguments(version, line, to));
    level = to;
    if (closed) return;
    const held = tools.hold("gpioset", setArguments(version, line, to), () => {});
    tool = held;
    void held.ended.then((why) => {
      if (why !== null && tool === held) lost = why;
    });
  };

  await drive(first);
  return {
    async read() {
      if (lost !== null) throw lost;
      return level;
    },
    async write(to) {
      if (lost !== null) throw lost;
      if (to !== level) await drive(to);
    },
    watch() {},
    close() {
      closed = true;
      tool?.stop();
    },
  };
}
