import { required } from "../required.js";

/** Tag numbers of Exif 2.32 (CIPA DC-008-2019) and, for the first three, TIFF 6.0. */
export const Tag = {
  make: 0x010f,
  model: 0x0110,
  orientation: 0x0112,
  exposureTime: 0x829a,
  fNumber: 0x829d,
  iso: 0x8827,
  sensitivityType: 0x8830,
  standardOutput: 0x8831,
  recommendedIndex: 0x8832,
  isoSpeed: 0x8833,
  dateTimeOriginal: 0x9003,
  offsetOriginal: 0x9011,
  shutterSpeedValue: 0x9201,
  apertureValue: 0x9202,
  subjectDistance: 0x9206,
  flash: 0x9209,
  focalLength: 0x920a,
  subSecOriginal: 0x9291,
  exposureMode: 0xa402,
  whiteBalance: 0xa403,
  digitalZoom: 0xa404,
  focalLength35: 0xa405,
  lensModel: 0xa434,
  gpsLatitude: 0x0002,
  gpsLongitude: 0x0004,
} as const;

/** Raw tag values by number: a number, a list of numbers, a string, or bytes. */
export type Block = Map<number, unknown>;

export interface TagBlocks {
  readonly ifd0: Block;
  readonly exif: Block;
  readonly gps: Block;
}

const IFD0_TAGS: readonly number[] = [Tag.make, Tag.model, Tag.orientation];
const GPS_TAGS: readonly number[] = [Tag.gpsLatitude, Tag.gpsLongitude];
const EXIF_TAGS: readonly number[] = Object.values(Tag).filter(
  (tag) => !IFD0_TAGS.includes(tag) && !GPS_TAGS.includes(tag),
);

interface Picks {
  readonly ifd0: readonly number[];
  readonly exif: readonly number[];
  readonly gps: readonly number[];
}

/** Raw numbers and strings only: no dates shifted by this machine's time zone, no enumerations in words. */
function optionsFor(picks: Picks): object {
  const block = (pick: readonly number[]): object | false => (pick.length > 0 ? { pick: [...pick] } : false);
  return {
    ifd0: block(picks.ifd0),
    exif: block(picks.exif),
    gps: block(picks.gps),
    ifd1: false,
    interop: false,
    xmp: false,
    icc: false,
    iptc: false,
    jfif: false,
    ihdr: false,
    translateKeys: false,
    translateValues: false,
    reviveValues: false,
    mergeOutput: false,
    // Silence would hide that a directory was given up half way.
    silentErrors: false,
  };
}

const ALL_TAGS = optionsFor({ ifd0: [...IFD0_TAGS, ...EXIF_TAGS], exif: EXIF_TAGS, gps: GPS_TAGS });

/** One set of options a tag. Made once: the reader keeps every options object it has ever seen. */
const SINGLE_TAGS: readonly object[] = [
  ...IFD0_TAGS.map((tag) => optionsFor({ ifd0: [tag], exif: [], gps: [] })),
  ...EXIF_TAGS.map((tag) => optionsFor({ ifd0: [tag], exif: [], gps: [] })),
  ...EXIF_TAGS.map((tag) => optionsFor({ ifd0: [], exif: [tag], gps: [] })),
  ...GPS_TAGS.map((tag) => optionsFor({ ifd0: [], exif: [], gps: [tag] })),
];

/** A directory that stands alone is the first of its block, whichever it is. */
const ALONE = {
  ifd0: optionsFor({ ifd0: IFD0_TAGS, exif: [], gps: [] }),
  exif: optionsFor({ ifd0: EXIF_TAGS, exif: [], gps: [] }),
  gps: optionsFor({ ifd0: GPS_TAGS, exif: [], gps: [] }),
} as const;

/** Loads the reader on first use: listing a folder or printing help must not wait for it. */
function loadExifr(): typeof import("exifr")["default"] {
  return required("exifr") as typeof import("exifr")["default"];
}

/**
 * Reads one directory that stands alone behind a TIFF header.
 * @returns what could be read; empty where there is no block or it is damaged; never rejects
 */
export async function readDirectory(block: Uint8Array | undefined, name: keyof typeof ALONE): Promise<Block> {
  const directory: Block = new Map();
  if (block === undefined) return directory;
  const exifr = loadExifr();
  try {
    const output = ((await exifr.parse(block, ALONE[name])) ?? {}) as Record<string, unknown>;
    collect(output.ifd0, directory);
  } catch {
    // Damage costs the directory.
  }
  return directory;
}

/**
 * Reads the tags of {@link Tag} from an EXIF block. The reader gives up on a whole directory at the first
 * malformed tag; then every tag is read on its own, so that a damaged one costs only itself.
 * @param block bytes that start with a TIFF header
 * @returns what could be read; never rejects
 */
export async function readTagBlocks(block: Uint8Array): Promise<TagBlocks> {
  const blocks: TagBlocks = { ifd0: new Map(), exif: new Map(), gps: new Map() };
  const exifr = loadExifr();
  const readInto = async (options: object): Promise<boolean> => {
    try {
      const output = ((await exifr.parse(block, options)) ?? {}) as Record<string, unknown>;
      for (const name of ["ifd0", "exif", "gps"] as const) collect(output[name], blocks[name]);
      return true;
    } catch {
      return false;
    }
  };
  if (!(await readInto(ALL_TAGS))) {
    for (const options of SINGLE_TAGS) await readInto(options);
  }
  return blocks;
}

function collect(output: unknown, block: Block): void {
  if (typeof output !== "object" || output === null) return;
  for (const [tag, value] of Object.entries(output)) {
    // The reader adds coordinates of its own under names; only stored tags are kept.
    if (/^\d+$/.test(tag)) block.set(Number(tag), value);
  }
}
