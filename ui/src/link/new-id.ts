/**
 * A random UUID (version 4 of RFC 9562). By hand, because browsers give crypto.randomUUID to https alone, and the station speaks
 * plain http on the workshop's network.
 */
export function newId(
  fill: (bytes: Uint8Array<ArrayBuffer>) => unknown = (bytes) => crypto.getRandomValues(bytes),
): string {
  const bytes = new Uint8Array(16);
  fill(bytes);
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x40;
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
