import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { describe, expect, it } from "vitest";
import { decodePhoto } from "#goodgate/gather/decode.js";
import { PostponedPhoto } from "#goodgate/gather/errors.js";
import { audit } from "#goodgate/pipeline/audit.js";
import { readPhoto } from "#goodgate/pipeline/read-photo.js";
import { decodingShare } from "#goodgate/pipeline/read-photos.js";
import { LEFT_BYTES } from "#goodgate/runtime/memory.js";
import { jpeg, textured } from "../support/pictures.js";
import { noStore } from "../support/store.js";

const small = sharp({ create: { width: 64, height: 64, channels: 3, background: "#876" } });

/** A JPEG that claims another size in its frame header (SOF0 or SOF2). */
async function claimingJpeg(progressive: boolean, px: number): Promise<Buffer> {
  const bytes = await small.clone().jpeg({ progressive }).toBuffer();
  const frame = bytes.indexOf(Buffer.of(0xff, progressive ? 0xc2 : 0xc0));
  bytes.writeUInt16BE(px, frame + 5);
  bytes.writeUInt16BE(px, frame + 7);
  return bytes;
}

/** An AVIF that claims another size in its spatial extents (ispe). */
async function claimingAvif(px: number): Promise<Buffer> {
  const bytes = await small.clone().avif().toBuffer();
  const extents = bytes.indexOf("ispe");
  bytes.writeUInt32BE(px, extents + 8);
  bytes.writeUInt32BE(px, extents + 12);
  return bytes;
}

const refusal = (bytes: Buffer) =>
  decodePhoto(bytes).then(
    () => "decoded",
    (error: Error) => error.message,
  );

describe("a picture that would take more memory than there is for decoding is refused before a pixel is made", () => {
  it("as a progressive JPEG, which holds its coefficients", async () => {
    expect(await refusal(await claimingJpeg(true, 14_000))).toBe(
      "it says it is 14000 x 14000 px, more than the 92 megapixels that are read of this kind: save a smaller copy",
    );
  });

  it("as an AVIF, which holds copies of its planes", async () => {
    expect(await refusal(await claimingAvif(14_142))).toMatch(
      /^it says it is 14142 x 14142 px, more than the 33 megapixels that are read of this kind/,
    );
  });

  it("while a plain JPEG of that size comes row by row, and is not", async () => {
    expect(await refusal(await claimingJpeg(false, 14_000))).not.toMatch(/megapixels/);
  });
});

describe("a picture that fits, but not beside other threads", () => {
  it("is put off with what it needs", async () => {
    const bytes = await jpeg(textured(400, 300));
    await expect(decodePhoto(bytes, 3 * 400 * 300 - 1)).rejects.toEqual(new PostponedPhoto(3 * 400 * 300));
    expect(await decodePhoto(bytes, 3 * 400 * 300)).toMatchObject({ width: 400, height: 300 });
  });

  it.each([1, 2, 4, 8])("leaves %i threads together what the process may take", (jobs) => {
    const beside = 80e6 - LEFT_BYTES / 8;
    expect(jobs * (decodingShare(jobs) + beside) + LEFT_BYTES).toBeCloseTo(1e9);
    // A photo of 14.5 megapixels need not wait for the others.
    expect(decodingShare(jobs)).toBeGreaterThan(3 * 14.5e6);
  });

  it("is measured all the same, after the others", async () => {
    const folder = mkdtempSync(join(tmpdir(), "reliable-"));
    try {
      const share = decodingShare(8);
      const width = Math.ceil(Math.sqrt(share / 3 / 0.75)) + 8;
      const height = Math.ceil(0.75 * width);
      const large = sharp({ create: { width, height, channels: 3, background: "#876" } });
      writeFileSync(join(folder, "a large.jpg"), await large.jpeg({ quality: 40 }).toBuffer());
      const path = join(folder, "a large.jpg");
      expect(await readPhoto({ file: "a", path, mostBytes: share }, noStore)).toEqual({
        postponed: 3 * width * height,
      });
      writeFileSync(join(folder, "b.jpg"), await jpeg(textured(320, 240)));
      const { facts } = await audit(folder, { jobs: 8 });
      expect(facts.unreadable).toEqual([]);
      expect(facts.photos.map(({ file, widthPx }) => [file, widthPx])).toEqual([
        ["a large.jpg", width],
        ["b.jpg", 320],
      ]);
    } finally {
      rmSync(folder, { recursive: true });
    }
  }, 240_000);
});
