import { readFileSync } from "node:fs";
import { basename, join } from "node:path";
import sharp, { type Sharp } from "sharp";
import { rgb, seededRandom } from "../support/arrays.js";
import { dataFolder } from "../support/data.js";
import { exifBlock, jpegWithExif, pngWithExif } from "../support/exif-writer.js";
import { textured } from "../support/pictures.js";
import { cr2, cr3, dng, nef, orf, raf, rw2 } from "../support/raw-files.js";
import type { Source } from "./mutations.js";

/** Real photos that are small: a case should take milliseconds. Paths from the data folder. */
const REAL = [
  "src/exiv2/test/data/Stonehenge.heic",
  "src/exiv2/test/data/avif_metadata2.avif",
  "src/exiv2/test/data/IMG_1361.dng",
  "src/libheif/fuzzing/corpus/colors-with-alpha-thumbnail.heic",
  "src/vips/test/test-suite/images/rotation/6.jpg",
  "src/vips/test/test-suite/images/sample.tif",
  "src/vips/test/test-suite/images/1.webp",
  "src/pillow/Tests/images/sugarshack.mpo",
  "src/pillow/Tests/images/pil_sample_cmyk.jpg",
  "src/pillow/Tests/images/exif.png",
  "src/pillow/Tests/images/hopper.webp",
  "src/libjpeg-turbo/testimages/testimgari.jpg",
  "src/libjpeg-turbo/testimages/testimgint.jpg",
  "npm/exif/test/evil1.jpg",
];

/** Files made on the spot, and real ones where the test data are there. */
export async function fuzzSources(): Promise<Source[]> {
  const data = dataFolder();
  const real =
    data === undefined
      ? []
      : REAL.map((path) => ({ name: basename(path), bytes: new Uint8Array(readFileSync(join(data, path))) }));
  return [...(await made()), ...real];
}

const exif = {
  ifd0: [
    { tag: 0x010f, type: "ascii", value: "Lamplight" },
    { tag: 0x0112, type: "short", value: [6] },
  ],
  exif: [
    { tag: 0x829a, type: "rational", value: [[1, 60]] },
    { tag: 0x920a, type: "rational", value: [[43, 10]] },
    { tag: 0x9003, type: "ascii", value: "2026:05:01 14:03:22" },
  ],
} as const;

async function made(): Promise<Source[]> {
  const { width, height, data } = textured(200, 150);
  const photo = () => sharp(data, { raw: { width, height, channels: 3 } });
  const bytes = async (of: Sharp): Promise<Uint8Array> => new Uint8Array(await of.toBuffer());
  const random = seededRandom(7);
  const noisy = rgb(120, 90, () => [255 * random(), 255 * random(), 255 * random()]);
  const jpeg = await bytes(photo().jpeg({ quality: 90 }));
  const withExif = jpegWithExif(jpeg, exifBlock(exif));
  const thumbnail = await bytes(photo().resize(80, 60).jpeg());
  const parts = { exif, preview: jpeg, thumbnail };
  return [
    { name: "plain.jpg", bytes: withExif },
    { name: "progressive.jpg", bytes: await bytes(photo().jpeg({ progressive: true })) },
    { name: "grey.jpg", bytes: await bytes(photo().toColourspace("b-w").jpeg()) },
    {
      name: "noise.jpg",
      bytes: await bytes(sharp(noisy.data, { raw: { width: 120, height: 90, channels: 3 } }).jpeg()),
    },
    { name: "plain.png", bytes: pngWithExif(await bytes(photo().png()), exifBlock(exif), "zTXt") },
    { name: "deep.png", bytes: await bytes(photo().toColourspace("rgb16").png()) },
    { name: "plain.webp", bytes: await bytes(photo().webp()) },
    { name: "plain.tif", bytes: await bytes(photo().tiff({ compression: "lzw" })) },
    { name: "tiles.tif", bytes: await bytes(photo().tiff({ tile: true, compression: "deflate" })) },
    { name: "plain.avif", bytes: await bytes(photo().avif({ effort: 0 })) },
    { name: "plain.dng", bytes: dng(parts) },
    { name: "plain.cr2", bytes: cr2(parts) },
    { name: "plain.cr3", bytes: cr3(parts) },
    { name: "plain.nef", bytes: nef(parts) },
    { name: "plain.orf", bytes: orf(parts) },
    { name: "plain.rw2", bytes: rw2(parts) },
    { name: "plain.raf", bytes: raf({ preview: withExif }) },
  ];
}
