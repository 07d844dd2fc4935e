/** Pages that go on while the station is not heard: what is entered there waits in this browser. */
export function goesOnAlone(path: string): boolean {
  return path === "/grade" || path.startsWith("/s/");
}

export function specimenAddress(code: string, grading: 1 | 2 = 1): string {
  return `/s/${encodeURIComponent(code)}${grading === 2 ? "?grading=2" : ""}`;
}
