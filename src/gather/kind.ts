import type { FileKind } from "../types/folder.js";

/** How many bytes of a file's start {@link kindFromBytes} wants to see. */
export const SNIFF_BYTES = 64;

const KIND_OF_EXTENSION: Readonly<Record<string, FileKind>> = {
  jpg: "jpeg",
  jpeg: "jpeg",
  jpe: "jpeg",
  jfif: "jpeg",
  mpo: "jpeg",
  png: "png",
  webp: "webp",
  tif: "tiff",
  tiff: "tiff",
  heic: "heic",
  heif: "heic",
  hif: "heic",
  avif: "heic",
  jxl: "foreign",
  jp2: "foreign",
  j2k: "foreign",
  jpx: "foreign",
  bmp: "foreign",
  ...Object.fromEntries(
    // Raw formats by camera maker: Adobe and phones; Canon; Nikon; Sony; Olympus; Panasonic; Leica; Fujifilm;
    // Pentax; Samsung; Hasselblad; Phase One; Kodak; Minolta; Sigma; Epson; Mamiya; GoPro.
    "dng cr2 cr3 crw nef nrw arw srf sr2 orf rw2 raw rwl raf pef srw 3fr fff iiq dcr kdc mrw x3f erf mef gpr"
      .split(" ")
      .map((extension) => [extension, "raw"] as const),
  ),
};

/** What a file's name claims it is: "other" where the extension belongs to no kind of photo. */
export function kindFromName(name: string): FileKind {
  const dot = name.lastIndexOf(".");
  // A dot in first place starts a hidden name, not an extension.
  const extension = dot > 0 ? name.slice(dot + 1).toLowerCase() : "";
  return Object.hasOwn(KIND_OF_EXTENSION, extension) ? KIND_OF_EXTENSION[extension] : "other";
}

const ascii = (bytes: Uint8Array, start: number, end: number): string =>
  String.fromCharCode(...bytes.subarray(start, Math.min(end, bytes.length)));

/** Brands of the ISO base media header that stand for still pictures (HEIF, ISO/IEC 23008-12; AVIF). */
const STILL_BRANDS = new Set([
  "heic",
  "heix",
  "heim",
  "heis",
  "hevc",
  "hevx",
  "hevm",
  "hevs",
  "mif1",
  "msf1",
]);
const AV1_BRANDS = new Set(["avif", "avis"]);
/** Brand of Canon's CR3. */
const RAW_BRAND = "crx ";

/**
 * What a file's first bytes say it is, from the signatures the formats' own specifications give.
 * DNG, NEF, ARW and PEF start as any TIFF does: for those the name must decide.
 * @param bytes the first {@link SNIFF_BYTES} of the file, or fewer where it is shorter
 * @returns undefined where no signature fits
 */
export function kindFromBytes(bytes: Uint8Array): FileKind | undefined {
  if (bytes[0] === 0xff && bytes[1] === 0xd8) return "jpeg";
  const head = ascii(bytes, 0, 16);
  if (head.startsWith("\x89PNG\r\n\x1a\n")) return "png";
  if (head.startsWith("RIFF") && head.slice(8, 12) === "WEBP") return "webp";
  // Fujifilm's RAF, Canon's older CRW, Minolta's MRW and Sigma's X3F are containers of their own.
  if (/^(FUJIFILM|\0MRM|FOVb)/.test(head) || head.slice(6, 14) === "HEAPCCDR") return "raw";
  // Olympus and Panasonic mark their raw files in the TIFF header, Canon's CR2 right after it.
  if (/^(IIRO|IIRS|MMOR|IIU\0)/.test(head)) return "raw";
  if (/^(II[*+]\0|MM\0[*+])/.test(head)) return head.slice(8, 10) === "CR" ? "raw" : "tiff";
  if (head.slice(4, 8) === "ftyp") return kindFromBrands(bytes);
  return undefined;
}

function kindFromBrands(bytes: Uint8Array): FileKind | undefined {
  const size = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(0);
  const end = Math.min(size, bytes.length);
  // The major brand at 8, a version number at 12, then the compatible brands.
  for (let at = 8; at + 4 <= end; at += at === 8 ? 8 : 4) {
    const brand = ascii(bytes, at, at + 4);
    if (brand === RAW_BRAND) return "raw";
    if (STILL_BRANDS.has(brand) || AV1_BRANDS.has(brand)) return "heic";
  }
  return undefined;
}

/**
 * Name and content together. The content wins where it is known, save that a raw name keeps a TIFF header
 * raw; unknown content under a photo's name keeps the name's kind, so that reading it reports the damage.
 */
export function kindOf(name: string, firstBytes: Uint8Array): FileKind {
  const claimed = kindFromName(name);
  if (claimed === "other") return "other";
  const found = kindFromBytes(firstBytes);
  if (found === undefined || (claimed === "raw" && found === "tiff")) return claimed;
  return found;
}
