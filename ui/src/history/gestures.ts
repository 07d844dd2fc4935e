import type { RefObject } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { PLOT_LEFT_PX, PLOT_RIGHT_PX } from "../charts/panel-spec.js";
import { between, moved, pinched, type Span, zoomed } from "./span.js";

/** A press that moves less is a press. */
const LEAST_DRAG_PX = 8;
const KEY_STEP = 0.2;
const KEY_ZOOM = 1.5;
/** Share of the span by which a press of a key moves the moment pointed at. */
const KEY_POINT = 0.005;
/** Wheels report pixels, lines or pages; this many pixels double the span or halve it. */
const WHEEL_DOUBLING_PX = 240;
const LINE_PX = 16;
const PAGE_PX = 400;

/** The stretch under a finger that is being drawn out, as shares of the width. */
export interface Drawn {
  readonly one: number;
  readonly other: number;
}

export interface Gestures {
  readonly drawn: Drawn | null;
  /** The moment that is pointed at, wall milliseconds: under the mouse, where a finger was put down, or by the keys. */
  readonly moment: number | null;
}

interface Hand {
  /** Where each pointer went down and where it is, as shares of the width. */
  readonly pointers: Map<number, { readonly was: number; is: number }>;
  /** The span that was shown when the number of pointers last changed. */
  span: Span;
  moving: boolean;
}

/**
 * Drag to zoom in (with Shift: to move), wheel to zoom about the pointer, sideways to move, two fingers to do both, and the
 * keys. A mouse that only lies there, a finger that is put down and taken up, and Shift with the arrows point at a moment. Up and down with one finger stays the browser's, which scrolls the page.
 */
export function useGestures(
  place: RefObject<HTMLElement | null>,
  span: Span,
  show: (span: Span) => void,
  keys: { readonly all: () => void; readonly latest: () => void },
): Gestures {
  const [drawn, setDrawn] = useState<Drawn | null>(null);
  const [moment, setMoment] = useState<number | null>(null);
  const latest = useRef({ span, show, keys, moment });
  latest.current = { span, show, keys, moment };

  useEffect(() => {
    const element = place.current;
    if (element === null) return;
    const hand: Hand = { pointers: new Map(), span: latest.current.span, moving: false };
    const put = (next: Span) => {
      // Several events may come before the next drawing; each goes on from the one before.
      latest.current.span = next;
      latest.current.show(next);
    };
    const shareAt = (clientX: number) => {
      const { left, width } = element.getBoundingClientRect();
      return (clientX - left - PLOT_LEFT_PX) / Math.max(1, width - PLOT_LEFT_PX - PLOT_RIGHT_PX);
    };
    const pointAt = (share: number) => {
      const { from, to } = latest.current.span;
      setMoment(share < 0 || share > 1 ? null : from + share * (to - from));
    };
    const pointedShare = () => {
      const { span: here, moment: at } = latest.current;
      return at === null || at < here.from || at > here.to ? null : (at - here.from) / (here.to - here.from);
    };
    const pointOn = (share: number) => pointAt(Math.min(1, Math.max(0, (pointedShare() ?? 0.5) + share)));
    /** A finger that comes down on the line again takes it away. */
    const tap = (share: number, byMouse: boolean) => {
      const was = pointedShare();
      if (!byMouse && was !== null && Math.abs(was - share) < 2 * leastDrag()) setMoment(null);
      else pointAt(share);
    };
    const leastDrag = () => LEAST_DRAG_PX / Math.max(1, element.clientWidth);
    const regrip = () => {
      hand.span = latest.current.span;
      for (const [id, { is }] of hand.pointers) hand.pointers.set(id, { was: is, is });
      setDrawn(null);
    };

    const down = (event: PointerEvent) => {
      if (event.button !== 0 || hand.pointers.size === 2) return;
      const share = shareAt(event.clientX);
      if (hand.pointers.size === 0 && (share < 0 || share > 1)) return;
      hand.pointers.set(event.pointerId, { was: share, is: share });
      hand.moving = event.shiftKey;
      element.setPointerCapture(event.pointerId);
      regrip();
    };
    const move = (event: PointerEvent) => {
      const pointer = hand.pointers.get(event.pointerId);
      if (event.pointerType === "mouse") pointAt(shareAt(event.clientX));
      if (pointer === undefined) return;
      pointer.is = shareAt(event.clientX);
      const [one, two] = [...hand.pointers.values()];
      if (one !== undefined && two !== undefined) {
        put(pinched(hand.span, [one.was, two.was], [one.is, two.is]));
      } else if (hand.moving) put(moved(hand.span, pointer.was - pointer.is));
      else {
        const far = Math.abs(pointer.is - pointer.was) >= leastDrag();
        setDrawn(far ? { one: pointer.was, other: pointer.is } : null);
      }
    };
    const up = (event: PointerEvent) => {
      const pointer = hand.pointers.get(event.pointerId);
      if (pointer === undefined) return;
      const alone = hand.pointers.size === 1;
      hand.pointers.delete(event.pointerId);
      const { was, is } = pointer;
      if (event.type === "pointerup" && alone && !hand.moving) {
        if (Math.abs(is - was) >= leastDrag()) put(between(latest.current.span, was, is));
        else tap(is, event.pointerType === "mouse");
      }
      // The finger that is left after a pinch draws nothing out.
      hand.moving = hand.pointers.size > 0;
      regrip();
    };
    const leave = (event: PointerEvent) => {
      if (event.pointerType === "mouse") setMoment(null);
    };
    const wheel = (event: WheelEvent) => {
      if (event.deltaX === 0 && event.deltaY === 0) return;
      event.preventDefault();
      const unit = event.deltaMode === 0 ? 1 : event.deltaMode === 1 ? LINE_PX : PAGE_PX;
      const sideways = event.shiftKey ? event.deltaX || event.deltaY : event.deltaX;
      if (Math.abs(sideways) > Math.abs(event.shiftKey ? 0 : event.deltaY)) {
        put(moved(latest.current.span, (sideways * unit) / Math.max(1, element.clientWidth)));
        return;
      }
      const share = Math.min(1, Math.max(0, shareAt(event.clientX)));
      put(zoomed(latest.current.span, 2 ** ((event.deltaY * unit) / WHEEL_DOUBLING_PX), share));
    };
    const key = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const { span: here, keys: jumps } = latest.current;
      const deeds: Readonly<Record<string, () => void>> = {
        ArrowLeft: () => (event.shiftKey ? pointOn(-KEY_POINT) : put(moved(here, -KEY_STEP))),
        ArrowRight: () => (event.shiftKey ? pointOn(KEY_POINT) : put(moved(here, KEY_STEP))),
        "+": () => put(zoomed(here, 1 / KEY_ZOOM)),
        "=": () => put(zoomed(here, 1 / KEY_ZOOM)),
        "-": () => put(zoomed(here, KEY_ZOOM)),
        ...(latest.current.moment === null ? {} : { Escape: () => setMoment(null) }),
        Home: jumps.all,
        End: jumps.latest,
      };
      const deed = deeds[event.key];
      if (deed === undefined) return;
      event.preventDefault();
      deed();
    };

    // The keys need a place to be pressed.
    element.tabIndex = 0;
    element.addEventListener("pointerdown", down);
    element.addEventListener("pointermove", move);
    element.addEventListener("pointerup", up);
    element.addEventListener("pointercancel", up);
    element.addEventListener("pointerleave", leave);
    element.addEventListener("wheel", wheel, { passive: false });
    element.addEventListener("keydown", key);
    return () => {
      element.removeEventListener("pointerdown", down);
      element.removeEventListener("pointermove", move);
      element.removeEventListener("pointerup", up);
      element.removeEventListener("pointercancel", up);
      element.removeEventListener("pointerleave", leave);
      element.removeEventListener("wheel", wheel);
      element.removeEventListener("keydown", key);
    };
  }, []);
  return { drawn, moment: moment !== null && moment >= span.from && moment <= span.to ? moment : null };
}
