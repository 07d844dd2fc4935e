/**
 * The process in which pictures are decoded. They come from outside, and decoders have had faults: one that ends this process, or
 * takes all memory, does not end the one that raises alarms. It ends with its parent.
 */
import { writeFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { refusalOf } from "../../journal/refusal.js";
import { acceptPhoto } from "./accept.js";
import type { KeepRequest, KeptPhoto, PictureCalls } from "./calls.js";
import { measureLightness } from "./measure.js";
import type { PictureReply, PictureRequest } from "./pictures.js";
import { keepPhoto } from "./store.js";

async function keep({ file, folder, reserveBytes, limits }: KeepRequest): Promise<KeptPhoto> {
  const photo = await acceptPhoto(await readFile(file), limits);
  await keepPhoto(folder, photo, reserveBytes);
  const { sha256, jpeg, width, height, takenAt } = photo;
  return { sha256, bytes: jpeg.byteLength, width, height, takenAt };
}

const answers: {
  [K in keyof PictureCalls]: (params: PictureCalls[K]["params"]) => Promise<PictureCalls[K]["result"]>;
} = {
  keep,
  lightness: measureLightness,
};

process.on("message", (request: PictureRequest) => {
  const answer = answers[request.name] as (params: PictureRequest["params"]) => Promise<unknown>;
  answer(request.params).then(
    (result) => reply({ result }),
    (error: unknown) => reply({ refused: refusalOf(error) }),
  );
});
process.on("disconnect", () => process.exit());
// A terminal tells them to the parent as well, which still wants the picture that is being read.
process.on("SIGINT", () => {});
process.on("SIGTERM", () => {});

function reply(message: PictureReply): void {
  process.send?.(message);
}

try {
  // Where memory runs out, the kernel takes this process first.
  writeFileSync("/proc/self/oom_score_adj", "800");
} catch {
  // Not on Linux, or not allowed: then it takes whichever it likes.
}
