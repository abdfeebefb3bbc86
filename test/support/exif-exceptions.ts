/** Files where we and exiftool differ, tag by tag, and why. */
const BAD_DIRECTORY =
  "hostile file: the directory declares more entries than it has; exiftool drops it, we keep what can be read";
const GOEXIF = "deb/usr/share/gocode/src/github.com/rwcarlsen/goexif/exif/samples";
const MAKER_TIME =
  "exiftool's sum takes the finer exposure time of the maker's own tags (0.00671 for 0.00625 s, 0.00213 for 0.002 s)";
export const EXCEPTIONS: Readonly<
  Record<string, { readonly fields: readonly string[]; readonly why: string }>
> = {
  [`${GOEXIF}/2007-08-15-14-42-46-sep-2007-08-15-14-42-46a.jpg`]: { fields: ["ev100"], why: MAKER_TIME },
  [`${GOEXIF}/2009-06-20-07-59-05-sep-2009-06-20-07-59-05a.jpg`]: { fields: ["ev100"], why: MAKER_TIME },
  "src/exiv2/test/data/IMGP0006-min.jpg": { fields: ["make"], why: BAD_DIRECTORY },
  "src/exiv2/test/data/heap-oob-write.tiff": { fields: ["orientation"], why: BAD_DIRECTORY },
  "src/exiv2/test/data/issue_1881_coverage.jpg": {
    fields: ["exposureTimeS", "flashFired", "focalLengthMm"],
    why: BAD_DIRECTORY,
  },
  "src/pillow/Tests/images/hopper_bad_exif.jpg": { fields: ["orientation"], why: BAD_DIRECTORY },
  "src/exiv2/test/data/pocIssue283.jpg": {
    fields: ["make"],
    why: "hostile file: it starts as a raw file of one maker does, so it is no photo of a kind read here",
  },
  "src/exiv2/test/data/test_issue_1472.jpg": {
    fields: [
      "capturedAt",
      "digitalZoom",
      "ev100",
      "exposureMode",
      "exposureTimeS",
      "fNumber",
      "flashFired",
      "focalLength35Mm",
      "focalLengthMm",
      "iso",
      "make",
      "model",
      "orientation",
      "whiteBalance",
    ],
    why: "no JPEG: a container for metadata alone, without a picture; reading it as a photo reports that",
  },
  "src/pillow/Tests/images/hopper_bigtiff.tif": {
    fields: ["orientation"],
    why: "a TIFF with 64-bit offsets, which no camera writes; its pixels are read",
  },
};
