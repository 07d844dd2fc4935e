export type PictureType = "jpeg" | "png" | "webp";

/** What the bytes are, or why they are refused, in words with what to do. */
export type Content = { readonly type: PictureType } | { readonly refused: string };

/** Brands of ISO/IEC 14496-12 and 23008-12 (from memory) that stand at byte 8 of the pictures of newer phones. */
const HEIC_BRANDS = ["heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1"];
const AVIF_BRANDS = ["avif", "avis"];
const SEND = "Send a JPEG, PNG or WebP picture.";
/** So much of a text is enough to know it by. */
const LOOKED_AT = 512;

/** Goes by the bytes alone: a name, or what a sender says of them, can be anything. */
export function contentOf(bytes: Uint8Array): Content {
  const head = Buffer.from(bytes.buffer, bytes.byteOffset, Math.min(bytes.byteLength, LOOKED_AT));
  if (head.length === 0) return refused("Nothing arrived: the file is empty.");
  const at = (offset: number, text: string) => head.toString("latin1", offset, offset + text.length) === text;
  if (at(0, "\xff\xd8\xff")) return { type: "jpeg" };
  if (at(0, "\x89PNG\r\n\x1a\n")) return { type: "png" };
  if (at(0, "RIFF") && at(8, "WEBP")) return { type: "webp" };
  if (at(4, "ftyp")) return refused(ofBrand(head.toString("latin1", 8, 12)));
  if (at(0, "GIF8")) return refused(`This is a GIF. ${SEND}`);
  if (at(0, "%PDF")) return refused(`This is a PDF. ${SEND}`);
  if (at(0, "II*\0") || at(0, "MM\0*")) return refused(`This is a TIFF picture. ${SEND}`);
  if (isText(head)) return refused(ofText(head.toString("utf8").replace(/^\uFEFF/, "")));
  return refused(`This is not a picture that the station knows. ${SEND}`);
}

function refused(words: string): Content {
  return { refused: words };
}

function ofBrand(brand: string): string {
  if (HEIC_BRANDS.includes(brand)) {
    return "This is a HEIC picture. Set the phone's camera to save JPEG (on some phones “Most compatible”), and take it again.";
  }
  if (AVIF_BRANDS.includes(brand)) return `This is an AVIF picture. ${SEND}`;
  return `This is a film, or a kind of picture that the station does not know. ${SEND}`;
}

function ofText(text: string): string {
  if (/^\s*</.test(text)) {
    return `This is SVG, HTML or another text with markup. Such a file can hold a script, and is never taken. ${SEND}`;
  }
  return `This is a text and not a picture. ${SEND}`;
}

function isText(head: Buffer): boolean {
  return head.every((byte) => byte >= 0x20 || byte === 0x09 || byte === 0x0a || byte === 0x0d);
}
