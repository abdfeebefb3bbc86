import type { Facts, Judgement, Limits } from "../types.js";
import { blockedPhoto } from "./blocked-photo.js";
import { blownPhoto } from "./blown-photo.js";
import { changingSettings } from "./changing-settings.js";
import { colourCast } from "./colour-cast.js";
import { leaveOut } from "./covered.js";
import { type Check, limitsOf } from "./define.js";
import { exposureStep } from "./exposure-step.js";
import { fewPixels } from "./few-pixels.js";
import { type JudgeOptions, judgeWith } from "./judge.js";
import { noisyPhoto } from "./noisy-photo.js";
import { photosInside } from "./photos-inside.js";
import { rawPreview } from "./raw-preview.js";
import { slowShutter } from "./slow-shutter.js";
import { softPhoto } from "./soft-photo.js";
import { softSet } from "./soft-set.js";
import { storedLocation } from "./stored-location.js";
import { strayPhoto } from "./stray-photo.js";
import { tooFewPhotos } from "./too-few-photos.js";
import { tooManyPhotos } from "./too-many-photos.js";
import { twinPhotos } from "./twin-photos.js";
import { unreadKind } from "./unread-kind.js";
import { unreadablePhoto } from "./unreadable-photo.js";
import { weakLink } from "./weak-link.js";
import { zoomedPhoto } from "./zoomed-photo.js";

/** Every check, in the order the report speaks of them. */
export const checks: readonly Check[] = [
  unreadablePhoto,
  unreadKind,
  rawPreview,
  softSet,
  tooFewPhotos,
  weakLink,
  softPhoto,
  blownPhoto,
  blockedPhoto,
  strayPhoto,
  zoomedPhoto,
  exposureStep,
  colourCast,
  noisyPhoto,
  twinPhotos,
  storedLocation,
  changingSettings,
  slowShutter,
  fewPixels,
  tooManyPhotos,
  photosInside,
] as readonly Check[];

/** All that can be explained and has limits: the checks, and the rule that settles what they find. */
export const explained = [...checks, leaveOut] as const;

export const defaultLimits: Limits = limitsOf(explained);

/** Judges facts by all checks. The same facts and limits give the same findings. */
export function judge(facts: Facts, limits: Limits = defaultLimits, options: JudgeOptions = {}): Judgement {
  return judgeWith(checks, facts, limits, options);
}
