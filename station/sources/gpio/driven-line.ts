import type { GpiodTools, RunningTool } from "./gpiod-tools.js";
import { type GpiodVersion, setArguments, type ToolLine } from "./gpiod-words.js";
import type { GpioLine, Level } from "./line.js";

/** How long gpioset gets to say that the line is not to be had; it says nothing where all is well. */
const REFUSAL_MS = 150;

/**
 * An output line that gpioset holds at a level. For another level it is ended and started anew: in between the line is as the
 * kernel leaves it, for some milliseconds.
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

  const drive = async (to: Level) => {
    const before = tool;
    tool = null;
    before?.stop();
    await before?.ended;
    const held = tools.hold("gpioset", setArguments(version, line, to), () => {});
    tool = held;
    level = to;
    void held.ended.then((why) => {
      if (why !== null && tool === held) lost = why;
    });
    let timer: NodeJS.Timeout | undefined;
    const settled = new Promise<null>((resolve) => {
      timer = setTimeout(resolve, REFUSAL_MS, null);
    });
    const refused = await Promise.race([held.ended, settled]);
    clearTimeout(timer);
    if (refused !== null) throw refused;
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
      tool?.stop();
    },
  };
}
