import { boxesIn, boxOf, viewOf } from "../boxes.js";
import type { Stretch } from "./tiff-directories.js";

/** Boxes that Canon names by sixteen bytes instead of four letters. */
const METADATA = "85c0b687820f11e08111f4ce462b6a48";
const PREVIEW = "eaf42b5e1c984b88b9fbb7dc406e4d16";

/** What a CR3 file holds beside its raw data. */
export interface Cr3Contents {
  /** TIFF-headed blocks: the first directory, the Exif directory and the GPS directory, each standing alone. */
  readonly ifd0?: Uint8Array;
  readonly exif?: Uint8Array;
  readonly gps?: Uint8Array;
  /** Pictures stored in boxes of their own: the preview of 1620 x 1080 px. */
  readonly inBoxes: readonly Uint8Array[];
  /** First samples of the tracks: a JPEG of full size, then the raw data. */
  readonly tracks: readonly Stretch[];
}

/**
 * @param bytes a whole CR3 file; never throws for a damaged one
 * @see Lemaitre, "Describing the Canon Raw v3 (CR3) file format", from memory, and checked on a file of an EOS R6
 */
export function cr3Contents(bytes: Uint8Array): Cr3Contents {
  const top = boxesIn(bytes);
  const moov = boxesIn(boxOf(top, "moov") ?? new Uint8Array(0));
  const metadata = boxesIn(moov.find(({ uuid }) => uuid === METADATA)?.body ?? new Uint8Array(0));
  const [ifd0, exif, gps] = ["CMT1", "CMT2", "CMT4"].map((type) => boxOf(metadata, type));
  // Eight bytes stand before the box inside.
  const previews = top
    .filter(({ uuid }) => uuid === PREVIEW)
    .flatMap(({ body }) => boxesIn(body.subarray(8)));
  return {
    ...(ifd0 && { ifd0 }),
    ...(exif && { exif }),
    ...(gps && { gps }),
    inBoxes: previews.filter(({ type }) => type === "PRVW").map(({ body }) => body.subarray(PRVW_HEAD)),
    tracks: moov.filter(({ type }) => type === "trak").flatMap(({ body }) => firstSample(body) ?? []),
  };
}

/** Version, size of the picture and number of its bytes. */
const PRVW_HEAD = 16;

function firstSample(track: Uint8Array): Stretch | undefined {
  let boxes = boxesIn(track);
  for (const type of ["mdia", "minf", "stbl"]) boxes = boxesIn(boxOf(boxes, type) ?? new Uint8Array(0));
  const [sizes, places] = [boxOf(boxes, "stsz"), boxOf(boxes, "co64")];
  if (sizes === undefined || places === undefined || sizes.length < 12 || places.length < 16)
    return undefined;
  const same = viewOf(sizes).getUint32(4);
  if (same === 0 && sizes.length < 16) return undefined;
  return {
    start: Number(viewOf(places).getBigUint64(8)),
    // One size for all samples, or a list.
    length: same > 0 ? same : viewOf(sizes).getUint32(12),
  };
}
