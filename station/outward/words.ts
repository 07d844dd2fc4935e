/** What went wrong on the network, by its code, for whoever set the way up. */
const WORDS: Readonly<Record<string, string>> = {
  ECONNREFUSED: "nothing listens at this address and port",
  ENOTFOUND: "no server of this name is known: look at its name, and whether there is a network",
  EAI_AGAIN: "no server of this name can be looked up now: is there a network?",
  EDNS: "no server of this name is known: look at its name, and whether there is a network",
  ENETUNREACH: "there is no network to it",
  EHOSTUNREACH: "there is no way to it on this network",
  ECONNRESET: "it broke the connection off",
  EPIPE: "it broke the connection off",
  ETIMEDOUT: "it does not answer",
  UND_ERR_CONNECT_TIMEOUT: "it does not answer",
  UND_ERR_SOCKET: "it broke the connection off",
  DEPTH_ZERO_SELF_SIGNED_CERT:
    "its certificate is signed by nobody that is known: name the certificate as ca_file",
  SELF_SIGNED_CERT_IN_CHAIN:
    "its certificate is signed by nobody that is known: name that authority's as ca_file",
  UNABLE_TO_VERIFY_LEAF_SIGNATURE:
    "its certificate is signed by nobody that is known: name that authority's as ca_file",
  CERT_HAS_EXPIRED: "its certificate has expired (or the station's clock is wrong)",
  CERT_NOT_YET_VALID: "its certificate is of a time to come: the station's clock is wrong",
  ERR_TLS_CERT_ALTNAME_INVALID: "its certificate is for another name",
};
const LONGEST = 300;

/** In one line; what a server says is kept, because it says best what it wants. */
export function wordsOf(error: unknown): string {
  const codes = [error, error instanceof Error ? error.cause : undefined].flatMap((each) =>
    each instanceof Error && "code" in each ? [String(each.code)] : [],
  );
  const said = error instanceof Error ? error.message : String(error);
  // Libraries put codes of their own in the place of the system's, which is then in the message only.
  if (/self-signed certificate/.test(said)) codes.push("DEPTH_ZERO_SELF_SIGNED_CERT");
  codes.push(...(said.match(/\b[A-Z][A-Z0-9_]{4,}\b/g) ?? []));
  const known = codes.map((code) => WORDS[code]).find((words) => words !== undefined);
  const text = known ?? said;
  return text
    .replace(/\p{Cc}+/gu, " ")
    .trim()
    .slice(0, LONGEST);
}

/** Rejects where something is not done in time: whoever accepts a connection and says nothing must hold nothing up. */
export async function within<T>(ms: number, work: Promise<T>, gaveUp: () => void): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => {
      gaveUp();
      reject(new Error(`it has not answered within ${Math.round(ms / 1000)} s`));
    }, ms);
  });
  try {
    return await Promise.race([work, late]);
  } finally {
    clearTimeout(timer);
    work.catch(() => {});
  }
}
