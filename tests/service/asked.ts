export interface Replied {
  readonly status: number;
  readonly body: unknown;
}

/** Asks a station over HTTP, with a body as JSON where there is one; an answer without words has the body null. */
export async function asked(method: string, url: string, body?: unknown): Promise<Replied> {
  const response = await fetch(url, {
    method,
    ...(body === undefined
      ? {}
      : { headers: { "content-type": "application/json" }, body: JSON.stringify(body) }),
  });
  const text = await response.text();
  return { status: response.status, body: text === "" ? null : JSON.parse(text) };
}
