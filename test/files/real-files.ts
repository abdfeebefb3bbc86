/** The kinds of real file the test data hold, with one or more examples of each; paths from the data folder. */
export interface Kind {
  readonly what: string;
  readonly files: readonly string[];
}

const OPENCV = "deb/usr/share/doc/opencv-doc/examples/data";
const SKIMAGE = "deb/usr/lib/python3/dist-packages/skimage/data";
const GOEXIF = "deb/usr/share/gocode/src/github.com/rwcarlsen/goexif/exif";
const EXIV2 = "src/exiv2/test/data";
const VIPS = "src/vips/test/test-suite/images";
const PILLOW = "src/pillow/Tests/images";
const LIBJPEG = "src/libjpeg-turbo/testimages";
const GEGL = "src/gegl/tests/compositions/data";

const from = (folder: string, ...names: string[]): string[] => names.map((name) => `${folder}/${name}`);

export const kinds: readonly Kind[] = [
  { what: "photos with known geometry, PNG", files: from(OPENCV, "graf1.png", "graf3.png") },
  { what: "stereo pairs", files: [...from(OPENCV, "aloeL.jpg"), ...from(SKIMAGE, "motorcycle_left.png")] },
  { what: "a calibration board, grey JPEG", files: from(OPENCV, "left01.jpg", "right14.jpg") },
  { what: "frames of one walk", files: from(VIPS, "cd1.1.jpg", "cd4.2.jpg") },
  { what: "the same exposure twice, with EXIF", files: from(OPENCV, "leuvenA.jpg", "leuvenB.jpg") },
  {
    what: "really blurred photos",
    files: from(OPENCV, "text_defocus.jpg", "text_motion.jpg", "licenseplate_motion.jpg"),
  },
  { what: "an exposure bracket, PNG", files: from(GEGL, "parliament_0.png", "parliament_2.png") },
  { what: "multi-picture JPEG of a camera", files: from("npm/exif/test", "sony-alpha-6000.jpg") },
  { what: "multi-picture JPEG (MPO), stereo", files: from(PILLOW, "fujifilm.mpo", "sugarshack.mpo") },
  { what: "MPO with a broken table of pictures", files: from(PILLOW, "sugarshack_bad_mpo_header.jpg") },
  { what: "orientations 4 and 8", files: from("npm/exif/test", "down-mirrored.jpg", "right.jpg") },
  { what: "malformed EXIF", files: from("npm/exif/test", "evil1.jpg") },
  { what: "a phone's JPEG, turned, with its place", files: from("npm/jpeg-exif/test", "IMG_0001.JPG") },
  { what: "a phone's JPEG with its place", files: from("npm/exif-parser/test", "starfish.jpg") },
  {
    what: "JPEG heads of 48 cameras, cut behind the EXIF",
    files: from(`${GOEXIF}/samples`, "2004-01-11-22-45-15-sep-2004-01-11-22-45-15a.jpg"),
  },
  { what: "corrupt EXIF", files: from(`${GOEXIF}/corrupt`, "huge_tag_exif.jpg", "infinite_loop_exif.jpg") },
  {
    what: "HEIC of phones (grid of tiles)",
    files: from(EXIV2, "IMG_3578.heic", "2021-02-13-1929.heic"),
  },
  { what: "HEIC of a converter, single picture", files: from(EXIV2, "Stonehenge.heic", "heic.heic") },
  { what: "AVIF", files: [...from(EXIV2, "avif.avif"), ...from(VIPS, "avif-orientation-6.avif")] },
  { what: "DNG of a phone, cut before its pixels", files: from(EXIV2, "IMG_1361.dng") },
  { what: "CR3, its raw picture cut off, its preview there", files: from(EXIV2, "Canon-R6-pruned.CR3") },
  {
    what: "one photo in eight orientations, two sizes",
    files: from(VIPS, "rotation/1.jpg", "rotation/6.jpg"),
  },
  {
    what: "truncated JPEG and PNG",
    files: [
      ...from(VIPS, "truncated.jpg"),
      ...from(PILLOW, "truncated_jpeg.jpg", "truncated_image.png"),
      ...from(SKIMAGE, "truncated.jpg"),
    ],
  },
  { what: "CMYK JPEG", files: from(PILLOW, "pil_sample_cmyk.jpg") },
  {
    what: "16-bit TIFF and PNG",
    files: [...from(PILLOW, "tiff_16bit_RGB.tiff"), ...from(VIPS, "sample.tif")],
  },
  { what: "invalid EXIF", files: from(PILLOW, "invalid-exif.jpg", "hopper_bad_exif.jpg") },
  {
    what: "EXIF in a PNG: chunk eXIf, packed text",
    files: from(PILLOW, "exif.png", "exif_imagemagick.png"),
  },
  { what: "WebP, plain and with alpha", files: from(PILLOW, "hopper.webp", "transparent.webp") },
  { what: "JPEG of 12 bits a sample", files: from(LIBJPEG, "testorig12.jpg") },
  { what: "JPEG, arithmetic coding", files: from(LIBJPEG, "testimgari.jpg") },
  { what: "JPEG, progressive", files: from(LIBJPEG, "testimgint.jpg") },
];
