import { expect, test } from "vitest";
import { type SurveyTool, sharedSurvey } from "../../station/sources/gpio/shared-survey.js";

/** Looks that come back when they are told to. */
class BenchLooks {
  readonly begun: SurveyTool[] = [];
  under = 0;
  most = 0;
  readonly #ends: ((words: string | Error) => void)[] = [];
  readonly survey = sharedSurvey(
    (tool) =>
      new Promise((resolve, reject) => {
        this.begun.push(tool);
        this.under += 1;
        this.most = Math.max(this.most, this.under);
        this.#ends.push((words) => {
          this.under -= 1;
          if (words instanceof Error) reject(words);
          else resolve(words);
        });
      }),
  );

  /** Lets the look that is under way come back. */
  async ends(words: string | Error): Promise<void> {
    await settled();
    this.#ends.shift()?.(words);
    await settled();
  }
}
const settled = () => new Promise((resolve) => setImmediate(resolve));

test("lines that start together have the answer of one look", async () => {
  const looks = new BenchLooks();
  const asked = [1, 2, 3].map(() => looks.survey("gpiodetect"));
  await settled();
  // One that comes while it is under way as well.
  asked.push(looks.survey("gpiodetect"));
  await looks.ends("the chips");
  expect(await Promise.all(asked)).toEqual(Array(4).fill("the chips"));
  expect(looks.begun).toEqual(["gpiodetect"]);
});

test("who asks when it has come back has a new one made", async () => {
  const looks = new BenchLooks();
  const first = looks.survey("gpioinfo");
  await looks.ends("as it was");
  expect(await first).toBe("as it was");
  const second = looks.survey("gpioinfo");
  await looks.ends("as it is");
  expect(await second).toBe("as it is");
});

test("one goes at a time, whatever it looks at", async () => {
  const looks = new BenchLooks();
  const asked = [looks.survey("gpiodetect"), looks.survey("gpioinfo"), looks.survey("gpioinfo")];
  await settled();
  expect(looks.begun).toEqual(["gpiodetect"]);
  await looks.ends("the chips");
  expect(looks.begun).toEqual(["gpiodetect", "gpioinfo"]);
  await looks.ends("the lines");
  expect(await Promise.all(asked)).toEqual(["the chips", "the lines", "the lines"]);
  expect(looks.most).toBe(1);
});

test("one that fails fails for all who waited for it, and for nobody else", async () => {
  const looks = new BenchLooks();
  const late = new Error("gpiodetect did not come back");
  const asked = [looks.survey("gpiodetect"), looks.survey("gpiodetect")].map((each) =>
    each.catch((error: unknown) => error),
  );
  const other = looks.survey("gpioinfo");
  await looks.ends(late);
  expect(await Promise.all(asked)).toEqual([late, late]);
  await looks.ends("the lines");
  expect(await other).toBe("the lines");
  const again = looks.survey("gpiodetect");
  await looks.ends("the chips");
  expect(await again).toBe("the chips");
});
