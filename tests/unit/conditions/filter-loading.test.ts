import { describe, expect, it } from "vitest";
import { type FilterMinute, filterDays, forecastFilter } from "../../../station/conditions/filter-loading.js";
import { createRandom, normal } from "../../../station/random.js";

const DAY = 86_400_000;
const START = Date.UTC(2026, 2, 1, 9);
const dayOf = (wall: number) => new Date(wall).toISOString().slice(0, 10);
const FINAL = 300;

/** Half an hour of each day at `speed`, with the drop that `pressure` gives at 2600 1/min. */
function days(
  count: number,
  pressure: (day: number) => number,
  speed = (_day: number): number | null => 2600,
) {
  const random = createRandom(3);
  const minutes: FilterMinute[] = [];
  for (let day = 0; day < count; day += 1) {
    for (let minute = 0; minute < 30; minute += 1) {
      const fan = speed(day);
      const at = pressure(day) * ((fan ?? 2600) / 2600) ** 2 + normal(random);
      minutes.push({ t: START + day * DAY + minute * 60_000, pressure: at, speed: fan });
    }
  }
  return minutes;
}
const forecast = (minutes: readonly FilterMinute[], changed: number | null = null) =>
  forecastFilter(filterDays(minutes, dayOf), START + 30 * DAY, changed, FINAL);

describe("the filter of the extraction", () => {
  it("is due where its line meets the final resistance, with limits that hold it", () => {
    // 100 Pa on day 0 and 4 Pa a day: 300 Pa on day 50.
    const view = forecast(days(30, (day) => 100 + 4 * day));
    expect(view.state).toBe("forecast");
    const inDays = (wall: number | null) => ((wall ?? 0) - START) / DAY;
    expect(Math.abs(inDays(view.likely) - 50)).toBeLessThan(1.5);
    expect(inDays(view.soonest)).toBeLessThan(50);
    expect(inDays(view.latest)).toBeGreaterThan(50);
    expect(view.text).toBe("216 Pa of 300 Pa at the fan's usual speed.");
  });

  it("is not fooled by a fan that ran at another speed (fan laws: with the square of it)", () => {
    const slower = days(
      30,
      (day) => 100 + 4 * day,
      (day) => (day > 20 ? 2200 : 2600),
    );
    const made = filterDays(slower, dayOf);
    expect(Math.abs((made.at(-1)?.pressure ?? 0) - 216)).toBeLessThan(3);
    // Much slower is left out.
    expect(
      filterDays(
        days(
          3,
          () => 100,
          (day) => (day === 2 ? 1200 : 2600),
        ),
        dayOf,
      ),
    ).toHaveLength(2);
  });

  it("cannot tell from a few days, and says what it takes", () => {
    expect(forecast(days(4, (day) => 100 + 4 * day)).text).toMatch(
      /^112 Pa of 300 Pa .* Cannot tell yet when it is due/,
    );
    expect(forecast([])).toMatchObject({ state: "cannot-tell", nowPa: null });
  });

  it("gives no date where it does not load, and no latest one where it hardly does", () => {
    expect(forecast(days(30, () => 120)).state).toBe("not-loading");
    const hardly = forecast(days(10, (day) => 100 + day + 15 * Math.sin(day)));
    expect(hardly).toMatchObject({ state: "forecast", latest: null });
    expect(hardly.soonest).not.toBeNull();
  });

  it("begins again with a new filter, whether it was entered or is seen by its fall", () => {
    const changed = days(30, (day) => (day < 15 ? 100 + 10 * day : 100 + 4 * (day - 15)));
    expect(forecast(changed)).toMatchObject({ days: 15, state: "forecast" });
    const entered = forecast(
      days(30, (day) => 100 + 4 * day),
      START + 20 * DAY - DAY / 2,
    );
    expect(entered.days).toBe(10);
  });

  it("is due at its final resistance", () => {
    expect(forecast(days(30, (day) => 200 + 4 * day))).toMatchObject({
      state: "due",
      text: "Due: 316 Pa of 300 Pa at the fan's usual speed.",
    });
  });

  it("goes by the drop as it is where nothing counts the fan", () => {
    expect(
      forecast(
        days(
          30,
          (day) => 100 + 4 * day,
          () => null,
        ),
      ).state,
    ).toBe("forecast");
  });
});
