import { expect, it } from "vitest";
import { lightnessSchema } from "../../../station/model/lightness-schema.js";
import { askedOf, between } from "../../../ui/src/lightness/marked.js";

const photo = { width: 2048, height: 1536 };

it("marks lie in the photo, whichever way they are dragged and however far", () => {
  expect(between(0.5, 0.75, 0.25, 0.5)).toEqual({ x: 0.25, y: 0.5, width: 0.25, height: 0.25 });
  expect(between(0.5, 0.5, 1.5, -1)).toEqual({ x: 0.5, y: 0, width: 0.5, height: 0.5 });
});

it("nothing is asked without a patch whose lightness is known, or without something to measure", () => {
  const share = between(0.25, 0.25, 0.5, 0.5);
  expect(askedOf({ edge: share }, { grey: 50 }, photo)).toBeNull();
  expect(askedOf({ edge: share, grey: share }, {}, photo)).toBeNull();
  expect(askedOf({ grey: share }, { grey: 50 }, photo)).toBeNull();
  const area = { x: 512, y: 384, width: 512, height: 384 };
  const asked = askedOf({ edge: share, grey: share, black: share }, { grey: 50, white: 90 }, photo);
  expect(asked).toEqual({ card: [{ ...area, known: 50 }], areas: { edge: area } });
  expect(lightnessSchema.safeParse(asked).success).toBe(true);
});

it("areas stay in the photo at its very edge", () => {
  const asked = askedOf({ face: between(1, 1, 1, 1), grey: between(0, 0, 1, 1) }, { grey: 50 }, photo);
  expect(asked?.areas.face).toEqual({ x: 2047, y: 1535, width: 1, height: 1 });
  expect(asked?.card[0]).toMatchObject({ x: 0, y: 0, ...photo });
});
