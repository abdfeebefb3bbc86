import { readdirSync } from "node:fs";
import { join } from "node:path";
import { dataFolder } from "../support/data.js";

/** A real photograph and the family it belongs to: photos of one family may show the same thing, others never do. */
export interface RealPhoto {
  readonly file: string;
  readonly family: string;
}

/** Folders searched, and which of their files are photographs. */
const SOURCES: readonly (readonly [folder: string, names: RegExp])[] = [
  [
    "deb/usr/share/doc/opencv-doc/examples/data",
    /^(Blender_Suzanne|aero|aloe[LR]|apple|baboon|basketball|blox|board|box|building|butterfly|cards|chicky_512|ela_original|fruits|graf|home|HappyFish|left\d|right\d|leuven|licenseplate|messi5|orange|rubberwhale|squirrel|starry|stuff|sudoku|text_|imageText[NR]|pic\d).*\.(jpg|png)$/,
  ],
  ["deb/usr/share/doc/opencv-doc/examples/text", /^scenetext\d+\.jpg$/],
  [
    "deb/usr/lib/python3/dist-packages/skimage/data",
    /^(astronaut|brick|camera|cell|chelsea|clock_motion|coffee|coins|grass|gravel|hubble|ihc|microaneurysms|moon|motorcycle_left|page|retina|rocket|text)\S*\.(png|jpg)$/,
  ],
  ["deb/usr/share/libjxl-testdata/jxl/flower", /^flower\.png$/],
  ["deb/usr/share/libjxl-testdata/external/wesaturate/500px", /srgb8\.png$/],
  ["deb/usr/share/gocode/src/github.com/rwcarlsen/goexif/exif", /^sample1\.jpg$/],
  ["npm/exif/test", /^(short-ascii-II|sony-alpha-6000|test\d)\.jpg$/],
  ["npm/exif-parser/test", /^starfish\.jpg$/],
  ["npm/jpeg-exif/test", /^IMG_.*\.JPG$/],
  ["src/exiv2/test/data", /^exiv2-bug(876|922|922a|937|1199)\.(jpg|webp)$/],
  ["src/gegl/tests/compositions/data", /^parliament_0\.png$/],
  ["src/pillow/Tests/images", /^(junk_jpeg_header|xmp_test|flower|hopper|rdf|iptc)\.(jpg|tif)$/],
  ["src/vips/test/test-suite/images", /^(cd\d\.\d|sample)\.jpg$/],
];

/** Names that show one thing: the family is the first that fits, else the file's own name. */
const FAMILIES: readonly (readonly [pattern: RegExp, family: string])[] = [
  [/(left|right)\d\d\.jpg$/, "board of the stereo rig"],
  [/aero/, "aeroplane"],
  [/aloe/, "aloe"],
  [/graf/, "wall"],
  [/leuven/, "car park"],
  [/Suzanne/, "rendered head"],
  [/basketball/, "basketball"],
  [/rubberwhale/, "whale"],
  [/imageText|scenetext06|text_|scenetext/, "text"],
  [/data\/box/, "box"],
  [/pic\d/, "drawn shapes"],
  [/cd\d/, "compact discs"],
  [/flower/, "flower"],
  [/motorcycle/, "motorcycle"],
  [/hopper|pillow.*(iptc|rdf)/, "portrait"],
  [/exiv2-bug922/, "exiv2 922"],
  [/npm\/exif\/test\/test/, "exif tests"],
  [/jpeg-exif/, "jpeg-exif"],
];

/** Every photograph of the data folder that is large enough, sorted by path. */
export function realPhotos(): RealPhoto[] {
  const root = dataFolder();
  if (root === undefined) return [];
  const photos: RealPhoto[] = [];
  for (const [folder, names] of SOURCES) {
    let entries: string[];
    try {
      entries = readdirSync(join(root, folder));
    } catch {
      continue;
    }
    for (const name of entries.filter((entry) => names.test(entry)).sort()) {
      const file = join(root, folder, name);
      photos.push({ file, family: FAMILIES.find(([pattern]) => pattern.test(file))?.[1] ?? name });
    }
  }
  return photos;
}
