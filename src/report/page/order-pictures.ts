import type { Report } from "../../types/report.js";
import { comparisonsOf, cutsOf } from "./comparisons.js";
import type { PictureSizes, PicturesOrder } from "./pictures.js";

const THUMB_PX = 320;
const CUT_PX = 320;
/** What pictures may take together: a page that is sent on should pass through mail and messengers (our choice). */
const SMALL_SET_BYTES = 15e6;
const LARGE_SET_BYTES = 40e6;
const SMALL_SET = 70;
const LARGE_SET = 300;
/** Left for the rest: thumbnails, cuts, pairs, words. */
const SHARE_OF_LARGE = 0.7;
/** Of what base64 makes of bytes. */
const BASE64 = 4 / 3;
const FEWEST_BYTES = 12e3;

/** What pictures the page of a report wants, in capture order. */
export function picturesFor(report: Report): PicturesOrder {
  const { facts, judgement } = report;
  const cuts = cutsOf(comparisonsOf(report));
  return {
    sizes: sizesFor(facts.photos.length),
    photos: facts.photos.map(({ file, contentHash, widthPx, heightPx, measures }) => {
      const { redGain, greenGain, blueGain } = measures;
      const edited = judgement.photoVerdicts.get(file) === "edit";
      return {
        file,
        contentHash,
        megapixels: (widthPx * heightPx) / 1e6,
        ...(edited &&
          redGain &&
          greenGain &&
          blueGain && { gains: { red: redGain.value, green: greenGain.value, blue: blueGain.value } }),
        cuts: cuts.get(file) ?? [],
      };
    }),
  };
}

/** The more photos, the smaller: from 15 MB for 70 photos to 40 MB for 300 and more. */
export function sizesFor(photos: number): PictureSizes {
  const grown = Math.min(1, Math.max(0, (photos - SMALL_SET) / (LARGE_SET - SMALL_SET)));
  const bytes = SMALL_SET_BYTES + grown * (LARGE_SET_BYTES - SMALL_SET_BYTES);
  const largeBytes = Math.max(
    FEWEST_BYTES,
    Math.floor((bytes * SHARE_OF_LARGE) / BASE64 / Math.max(SMALL_SET, photos)),
  );
  return {
    thumbPx: photos > LARGE_SET ? THUMB_PX / 2 : THUMB_PX,
    largePx: photos <= SMALL_SET ? 1280 : photos <= LARGE_SET ? 960 : 640,
    largeBytes,
    cutPx: CUT_PX,
  };
}
