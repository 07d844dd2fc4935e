import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

export const LASER = {
  "laser-lid-open": {
    id: "laser-lid-open",
    topic: "laser",
    seriousness: 1,
    headline: "Lid open and laser on: stop now",
    text: "Press the emergency stop and keep eyes and hands away. The beam is invisible and of class 4 inside the machine: it burns eyes and skin, blinds, and sets things alight. Do not use the machine again until a competent person has found out why its interlock did not stop it.",
    sources: [S.iec60825, S.pennsylvania, S.artsLondon],
  },
  "laser-interlock": {
    id: "laser-interlock",
    topic: "laser",
    seriousness: 2,
    headline: "Never defeat an interlock",
    text: "A machine counts as class 1 only where its maker has it so certified, its enclosure is whole and every interlock works; with one defeated it is a class 4 laser, as many small machines are from the start. Alignment with the covers off is work for trained people, with eyewear for the wavelength. This station is no interlock.",
    sources: [S.toronto, S.pennsylvania, S.massachusetts, S.iec60825],
  },
} as const satisfies Record<string, Caution>;
