import { createHash } from "node:crypto";
import sharp from "sharp";
import { describe, expect, it } from "vitest";
import type { ErrorCode } from "../../../../station/errors.js";
import { acceptPhoto } from "../../../../station/trials/photos/accept.js";
import { PHOTO_LIMITS } from "../../../../station/trials/photos/limits.js";
import { drawing, fromPhone, jpegClaiming, pngOfSize, segmentsOf } from "./pictures.js";

const refusal = (code: ErrorCode, words: RegExp) =>
  expect.objectContaining({ code, message: expect.stringMatching(words) });

describe("a photo from a phone", () => {
  it("is kept upright, with its time, and without a trace of the place", async () => {
    const sent = await fromPhone();
    expect(await sharp(sent).metadata()).toMatchObject({ width: 400, height: 300, orientation: 6 });
    expect(sent.includes("Exif")).toBe(true);

    const photo = await acceptPhoto(sent);
    expect(photo).toMatchObject({ width: 300, height: 400, takenAt: "2026-05-04T12:30:15+02:00" });
    const kept = await sharp(photo.jpeg).metadata();
    expect(kept).toMatchObject({ format: "jpeg", width: 300, height: 400 });
    for (const holder of ["exif", "icc", "xmp", "iptc", "orientation"] as const) {
      expect(kept[holder]).toBeUndefined();
    }
    // Turned by a quarter: what was at the upper left is at the upper right.
    const { data, info } = await sharp(photo.jpeg).raw().toBuffer({ resolveWithObject: true });
    const pixel = (x: number, y: number) => [
      ...data.subarray((y * info.width + x) * 3, (y * info.width + x) * 3 + 3),
    ];
    expect(pixel(250, 50)[0]).toBeGreaterThan(200);
    expect(pixel(50, 50)[0]).toBeLessThan(150);
  });

  it("has no segment of metadata left, nor what stood behind the picture", async () => {
    const sent = Buffer.concat([await fromPhone(), Buffer.from("a film, and a place: 48.2083 N")]);
    const { jpeg, thumbnail } = await acceptPhoto(sent);
    // ITU-T T.81, table B.1: application data and comments.
    const told = (file: Buffer) => segmentsOf(file).filter(({ marker }) => marker >= 0xe0 && marker <= 0xfe);
    expect(told(sent)).not.toEqual([]);
    for (const file of [jpeg, thumbnail]) {
      expect(told(file)).toEqual([]);
      expect(file.includes("48.2083")).toBe(false);
    }
  });

  it("is named by the hash of what is kept, and the same picture always by the same", async () => {
    const sent = await fromPhone();
    const [one, other] = [await acceptPhoto(sent), await acceptPhoto(Buffer.from(sent))];
    expect(one.sha256).toBe(createHash("sha256").update(one.jpeg).digest("hex"));
    expect(other.sha256).toBe(one.sha256);
  });

  it("is made smaller where it is large, never larger, and has a small copy", async () => {
    const large = await acceptPhoto(await drawing(3000, 1500).jpeg().toBuffer());
    expect(large).toMatchObject({ width: 2048, height: 1024 });
    expect(await sharp(large.thumbnail).metadata()).toMatchObject({ width: 256, height: 128 });
    const tiny = await acceptPhoto(await drawing(40, 30).jpeg().toBuffer());
    expect(tiny).toMatchObject({ width: 40, height: 30, takenAt: null });
    expect(await sharp(tiny.thumbnail).metadata()).toMatchObject({ width: 40, height: 30 });
  });
});

describe("other pictures", () => {
  it.each(["png", "webp"] as const)("a %s is kept as JPEG", async (format) => {
    const photo = await acceptPhoto(await drawing(200, 100).toFormat(format).toBuffer());
    expect(await sharp(photo.jpeg).metadata()).toMatchObject({ format: "jpeg", width: 200, height: 100 });
  });

  it("what lets something through lies on white", async () => {
    const clear = sharp({ create: { width: 20, height: 20, channels: 4, background: "#00000000" } });
    const { jpeg } = await acceptPhoto(await clear.png().toBuffer());
    expect([...(await sharp(jpeg).raw().toBuffer()).subarray(0, 3)]).toEqual([255, 255, 255]);
  });

  it("colours of a wider space are brought into sRGB", async () => {
    const wide = await drawing(40, 30).withIccProfile("p3").jpeg({ quality: 100 }).toBuffer();
    const before = await sharp(wide, { ignoreIcc: true }).raw().toBuffer();
    const after = await sharp((await acceptPhoto(wide)).jpeg)
      .raw()
      .toBuffer();
    const back = await sharp(await drawing(40, 30).jpeg({ quality: 100 }).toBuffer())
      .raw()
      .toBuffer();
    // Pure red of the wider space has other numbers in sRGB; the picture that was drawn in sRGB comes back to its own.
    expect(Math.abs((before[0] as number) - (back[0] as number))).toBeGreaterThan(5);
    expect(Math.abs((after[0] as number) - (back[0] as number))).toBeLessThan(5);
  });

  it("of a moving picture it is the first one", async () => {
    const frames = await sharp(
      await Promise.all(
        ["#f00", "#00f"].map((background) =>
          sharp({ create: { width: 20, height: 20, channels: 3, background } })
            .png()
            .toBuffer(),
        ),
      ),
      { join: { animated: true } },
    )
      .webp({ lossless: true })
      .toBuffer();
    expect((await sharp(frames).metadata()).pages).toBe(2);
    const photo = await acceptPhoto(frames);
    expect(photo).toMatchObject({ width: 20, height: 20 });
    expect((await sharp(photo.jpeg).raw().toBuffer())[0]).toBeGreaterThan(240);
  });
});

describe("what is refused, with words", () => {
  it.each([
    ["nothing", Buffer.alloc(0), /empty/],
    [
      "an SVG with a script",
      Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>'),
      /script/,
    ],
    ["one that begins with a mark and blanks", Buffer.from('\uFEFF \n<?xml version="1.0"?><svg/>'), /script/],
    ["a page", Buffer.from("<!doctype html><img src=x onerror=alert(1)>"), /HTML/],
    ["a PDF", Buffer.from("%PDF-1.7\n%\xe2\xe3"), /PDF/],
    ["a GIF", Buffer.from("GIF89a\x01\x00\x01\x00"), /GIF/],
    ["a TIFF", Buffer.from("II*\0\x08\0\0\0", "latin1"), /TIFF/],
    ["a HEIC", Buffer.from("\0\0\0\x18ftypheic\0\0\0\0mif1heic", "latin1"), /save JPEG/],
    ["a film", Buffer.from("\0\0\0\x18ftypisom\0\0\0\0", "latin1"), /film/],
    ["a text", Buffer.from("run,started_at\r\n1,2026-05-04\r\n"), /text/],
    ["a program", Buffer.from("\x7fELF\x02\x01\x01\0", "latin1"), /not a picture/],
  ])("%s", async (_, bytes, words) => {
    await expect(acceptPhoto(bytes)).rejects.toEqual(refusal("photo-type", words));
  });

  it("a picture that was cut off", async () => {
    for (const format of ["jpeg", "png", "webp"] as const) {
      const whole = await drawing(400, 300).toFormat(format).toBuffer();
      const cut = whole.subarray(0, Math.floor(whole.length / 2));
      await expect(acceptPhoto(cut), format).rejects.toEqual(refusal("photo-unreadable", /cut off/));
      await expect(acceptPhoto(whole.subarray(0, 12)), format).rejects.toEqual(
        refusal("photo-unreadable", /cut off/),
      );
    }
  });

  it("a few kilobytes that claim thousands of millions of pixels", async () => {
    const bomb = pngOfSize(60_000, 60_000);
    expect(bomb.length).toBeLessThan(2000);
    await expect(acceptPhoto(bomb)).rejects.toEqual(refusal("photo-too-large", /60000 × 60000/));
    const jpeg = jpegClaiming(await drawing(40, 30).jpeg().toBuffer(), 65_500, 65_500);
    await expect(acceptPhoto(jpeg)).rejects.toEqual(refusal("photo-too-large", /65500 × 65500/));
  });

  it("one that must be in memory as a whole at a smaller size than one that need not", async () => {
    const limits = { ...PHOTO_LIMITS, pixels: 10_000, wholePixels: 5000 };
    const picture = drawing(100, 80);
    await acceptPhoto(await picture.clone().jpeg().toBuffer(), limits);
    const whole = [
      picture.clone().jpeg({ progressive: true }),
      picture.clone().png({ progressive: true }),
      picture.clone().webp(),
    ];
    for (const one of whole) {
      await expect(acceptPhoto(await one.toBuffer(), limits)).rejects.toEqual(
        refusal("photo-too-large", /of this kind/),
      );
    }
  });

  it("a file that is too large", async () => {
    const sent = await drawing(40, 30).jpeg().toBuffer();
    const limits = { ...PHOTO_LIMITS, bytes: sent.length };
    await acceptPhoto(sent, limits);
    await expect(acceptPhoto(Buffer.concat([sent, Buffer.alloc(1)]), limits)).rejects.toEqual(
      refusal("photo-too-large", /smaller/),
    );
  });
});
