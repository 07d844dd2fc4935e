/** What the station keeps of a picture, pixels on its longer side. */
const LONG_SIDE = 2048;
const QUALITY = 0.88;
/** The station's limit for a file. */
const MOST_BYTES = 12e6;

/** Width and height that fit into a square of `longest`, in proportion, and never larger than they were. */
export function fitted(width: number, height: number, longest: number): { width: number; height: number } {
  const scale = Math.min(1, longest / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/**
 * The picture as a JPEG that is soon sent, upright, and without the place where it was taken. One that this browser cannot read
 * is sent as it is: the station may. @throws Error, in words
 */
export async function smallerPicture(file: Blob): Promise<ArrayBuffer> {
  let picture: ImageBitmap;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    if (file.size > MOST_BYTES || file.size === 0)
      throw new Error("Not kept: this browser cannot read the picture. Take it again as a JPEG.");
    return file.arrayBuffer();
  }
  try {
    const { width, height } = fitted(picture.width, picture.height, LONG_SIDE);
    const canvas = document.createElement("canvas");
    canvas.width = width;
    canvas.height = height;
    const paper = canvas.getContext("2d");
    if (paper === null) return await file.arrayBuffer();
    paper.imageSmoothingQuality = "high";
    // As the station does with what lets something through.
    paper.fillStyle = "white";
    paper.fillRect(0, 0, width, height);
    paper.drawImage(picture, 0, 0, width, height);
    const made = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    return await (made ?? file).arrayBuffer();
  } finally {
    picture.close();
  }
}
