import type { ComponentChild } from "preact";

/** Line drawings that stand beside a word, never instead of one. */
const SIGNS = {
  now: <path d="M14 4v15.2a5 5 0 1 0 4 0V4a2 2 0 0 0-4 0zM16 12v11M21.5 7H25M21.5 12H25" />,
  runs: <path d="M5 8h3M5 16h3M5 24h3M12 8h15M12 16h15M12 24h10" />,
  trials: (
    <path d="M4 7h10v10H4zM18 7h10v10H18zM6.500 22.500l2 2 3.500-4M20.500 20.500l4 4M24.500 20.500l-4 4" />
  ),
  review: (
    <path d="M13.500 5a8.500 8.500 0 1 0 0 17 8.500 8.500 0 0 0 0-17zM19.800 19.800 27.500 27.500M9.500 14l3 3 5-6" />
  ),
  history: <path d="M4 5v22h24M8 21l5-8 4.500 4.500L22 9l5 7" />,
  alarms: <path d="M7 23h18l-2.5-4v-6a6.5 6.5 0 0 0-13 0v6zM13.5 27h5M16 3.5V6" />,
  safety: <path d="M16 3.5 27 8v8c0 6-4.5 10.3-11 12.500C9.5 26.3 5 22 5 16V8zM16 10v7.500M16 22v.4" />,
  sound: <path d="M4 12.500v7h5l7 5.500V7l-7 5.500zM20.5 11.500a6 6 0 0 1 0 9M24 8a11 11 0 0 1 0 16" />,
  "sound-off": <path d="M4 12.500v7h5l7 5.500V7l-7 5.500zM21 12.500l7 7M28 12.500l-7 7" />,
  light: (
    <path d="M16 10.500a5.5 5.5 0 1 0 0 11 5.5 5.5 0 0 0 0-11zM16 3v3M16 26v3M3 16h3M26 16h3M6.8 6.800l2.1 2.100M23.1 23.100l2.1 2.100M6.8 25.200l2.1-2.100M23.1 8.900l2.1-2.1" />
  ),
  dark: <path d="M26 18.500A11 11 0 1 1 13.5 6 8.8 8.8 0 0 0 26 18.500z" />,
  system: (
    <path d="M16 5a11 11 0 1 0 0 22 11 11 0 0 0 0-22zM16 5v22M16 9.500h8.500M16 14h10.700M16 18.500h10.500M16 23h8" />
  ),
  rising: <path d="M6 24 25 8M14 7h11.500v11.5" />,
  falling: <path d="M6 8l19 16M14 25h11.500V13.5" />,
  steady: <path d="M4 16h23M20 9l7.5 7-7.5 7" />,
  cycling: <path d="M3 16c3.3-10 6.5-10 9 0s5.5 10 8 0 5.5-10 9 0" />,
  unknown: <path d="M11.5 12a4.6 4.6 0 1 1 6.7 4.200c-1.5.7-2.2 1.7-2.2 3.400M16 25v.4" />,
  fan: (
    <path d="M16 13.500a2.5 2.5 0 1 0 0 5 2.5 2.5 0 0 0 0-5zM16 13.500c-5-3-4-9.5 1-9.500s5 5.5 1 10M18.2 17.300c5.1-2.8 10.2 1.3 7.7 5.600s-7.2 1.6-9-3.900M13.8 17.300c0 5.8-6.1 8.3-8.6 4s2.3-7 7.9-5.8" />
  ),
  drop: <path d="M16 4c5 6.5 8 10.5 8 14.500a8 8 0 0 1-16 0C8 14.5 11 10.5 16 4z" />,
  plug: <path d="M11 4v6M21 4v6M7.5 10h17v4a8.5 8.5 0 0 1-17 0zM16 22.500V29" />,
  thermometer: <path d="M14 4v15.200a5 5 0 1 0 4 0V4a2 2 0 0 0-4 0zM16 12v11M27 9l-4 4M27 13l-4-4" />,
  lost: <path d="M5 13a16 16 0 0 1 22 0M10 18.5a9 9 0 0 1 12 0M16 24v.4M6 27 26 5" />,
  made: <path d="M5 9V5h4M23 5h4v4M27 23v4h-4M9 27H5v-4M10 16h12M16 10v12" />,
  optics: (
    <path d="M13 6a9 9 0 1 0 0 18 9 9 0 0 0 0-18zM9.5 12a5 5 0 0 1 4-2.500M25.500 4v5M23 6.500h5M27 22.500v4M25 24.500h4" />
  ),
  clock: <path d="M16 5a11 11 0 1 0 0 22 11 11 0 0 0 0-22zM16 10v6.500l4.5 3" />,
  earlier: <path d="M19.500 7 10.500 16l9 9" />,
  later: <path d="M12.500 7l9 9-9 9" />,
  "zoom-in": <path d="M16 7v18M7 16h18" />,
  "zoom-out": <path d="M7 16h18" />,
  journal: <path d="M8 4.500h17v23H8zM8 4.500v23M5 9.500h5M5 16h5M5 22.500h5M14 11h7M14 16h7" />,
  chosen: <path d="M5 17l7.5 7.500L27 8" />,
  camera: <path d="M4 9.500h6l2-4h8l2 4h6v16.500H4zM16 12.500a5 5 0 1 0 0 10 5 5 0 0 0 0-10z" />,
  person: (
    <path d="M16 5a5.500 5.500 0 1 0 0 11 5.500 5.500 0 0 0 0-11zM5.500 27c0-5.500 4.700-8 10.500-8s10.500 2.500 10.500 8z" />
  ),
  unlocked: <path d="M8 14h16v13H8zM11 14V9a5 5 0 0 1 9.700-1.600M16 19v3.500" />,
  note: <path d="M6 4.500h14l6 6v17H6zM20 4.500v6h6M10.5 16h11M10.5 21h8" />,
} satisfies Record<string, ComponentChild>;

export type SignName = keyof typeof SIGNS;

export function Sign({ name }: { name: SignName }) {
  return (
    <svg class="sign" viewBox="0 0 32 32" aria-hidden="true">
      {SIGNS[name]}
    </svg>
  );
}
