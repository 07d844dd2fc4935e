/** The page that led to the PIN or the sign-in; only ever one of this station's own. */
export function backFrom(wanted: string | undefined): string {
  return wanted !== undefined && /^\/(?![/\\])/.test(wanted) ? wanted : "/";
}

export function pinAddress(path: string): string {
  return `/pin?${new URLSearchParams({ back: path })}`;
}
