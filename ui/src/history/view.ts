import { useCallback, useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { useLocation } from "preact-iso/router";
import { now } from "../link/live.js";
import { addressOf, MOST_CHANNELS, wantedBy } from "./address.js";
import { type Charted, firstShown } from "./panels.js";
import { endingAt, type Span } from "./span.js";

const DAY_MS = 86_400_000;
/** The browser allows only so many changes of the address in a while, and nobody reads it in the middle of a movement. */
const ADDRESS_AFTER_MS = 300;

/** What was last shown: for the way back from another page by the bar, and for another start of the station. */
let last: { readonly address: string; readonly following: boolean } | null = null;

export interface View {
  readonly span: Span;
  /** Whether the right edge goes on with the time. */
  readonly following: boolean;
  readonly channels: readonly string[];
  readonly show: (span: Span, following?: boolean) => void;
  readonly choose: (channels: readonly string[]) => void;
}

interface State {
  readonly span: Span;
  readonly following: boolean;
  readonly channels: readonly string[];
}

function stateFor(query: Readonly<Record<string, string>>, all: readonly Charted[], wall: number): State {
  const wanted = wantedBy(query);
  const known = wanted.channels?.filter((id) => all.some((channel) => channel.id === id)) ?? [];
  return {
    span: wanted.span ?? endingAt(wall, DAY_MS),
    following: wanted.span === null,
    channels: known.length > 0 ? known : firstShown(all),
  };
}

function queryOf(address: string): Record<string, string> {
  return Object.fromEntries(new URL(address, location.origin).searchParams);
}

/** The span and the channels that are shown, kept in step with the address. */
export function useView(all: readonly Charted[]): View {
  const { url, query, route } = useLocation();
  const wall = () => now.value?.wall ?? Date.now();
  const [state, setState] = useState<State>(() => {
    const bare = Object.keys(query).length === 0;
    if (last === null || (!bare && url !== last.address)) return stateFor(query, all, wall());
    const again = stateFor(queryOf(last.address), all, wall());
    if (!last.following) return again;
    return { ...again, span: endingAt(wall(), again.span.to - again.span.from), following: true };
  });
  const written = useRef(url);

  // An address that this page has not written: the browser's back, or the bar.
  useEffect(() => {
    if (url === written.current) return;
    written.current = url;
    setState(stateFor(query, all, wall()));
  }, [url]);

  const { following } = state;
  const address = addressOf(state.span, state.channels);
  // A passive effect is cleaned up after the next frame: the timer would bring back whoever has just left.
  useLayoutEffect(() => {
    const timer = setTimeout(() => {
      last = { address, following };
      if (address === written.current) return;
      written.current = address;
      route(address, true);
    }, ADDRESS_AFTER_MS);
    return () => clearTimeout(timer);
  }, [address, following]);

  const show = useCallback(
    (span: Span, following = false) => setState((was) => ({ ...was, span, following })),
    [],
  );
  const choose = useCallback(
    (channels: readonly string[]) =>
      setState((was) => ({ ...was, channels: channels.slice(0, MOST_CHANNELS) })),
    [],
  );
  return { ...state, show, choose };
}
