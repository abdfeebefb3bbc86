import type { Facts } from "../types/facts.js";
import type { Judgement, Limits, RequirementId } from "../types/judgement.js";
import { automaticSettings } from "./automatic-settings.js";
import { bandGap } from "./band-gap.js";
import { blockedPhoto } from "./blocked-photo.js";
import { blownPhoto } from "./blown-photo.js";
import { changingSettings } from "./changing-settings.js";
import { colourCast } from "./colour-cast.js";
import { copiedPhotos } from "./copied-photos.js";
import { leaveOut } from "./covered.js";
import { crushedPhoto } from "./crushed-photo.js";
import { cutSubject } from "./cut-subject.js";
import { type Check, limitsOf } from "./define.js";
import { evidence } from "./evidence.js";
import { exposureStep } from "./exposure-step.js";
import { extraViews } from "./extra-views.js";
import { fewPixels } from "./few-pixels.js";
import { fewViews } from "./few-views.js";
import { gap } from "./gap.js";
import { type JudgeOptions, judgeWith } from "./judge.js";
import { laidOver } from "./laid-over.js";
import { lightChange } from "./light-change.js";
import { lightSide } from "./light-side.js";
import { mirroredPhotos } from "./mirrored-photos.js";
import { missedFocus } from "./missed-focus.js";
import { missingBand } from "./missing-band.js";
import { movingShadow } from "./moving-shadow.js";
import { noParallax } from "./no-parallax.js";
import { noisyPhoto } from "./noisy-photo.js";
import { oneSide } from "./one-side.js";
import { openRing } from "./open-ring.js";
import { photosInside } from "./photos-inside.js";
import { plainSubject } from "./plain-subject.js";
import { rawPreview } from "./raw-preview.js";
import { requirements } from "./requirements.js";
import { separateParts } from "./separate-parts.js";
import { shallowFocus } from "./shallow-focus.js";
import { shinySubject } from "./shiny-subject.js";
import { slowShutter } from "./slow-shutter.js";
import { smallAperture } from "./small-aperture.js";
import { smallSubject } from "./small-subject.js";
import { softPhoto } from "./soft-photo.js";
import { softSet } from "./soft-set.js";
import { storedLocation } from "./stored-location.js";
import { strayPhoto } from "./stray-photo.js";
import { tooFewPhotos } from "./too-few-photos.js";
import { tooManyPhotos } from "./too-many-photos.js";
import { turnedSubject } from "./turned-subject.js";
import { twinPhotos } from "./twin-photos.js";
import { unreadKind } from "./unread-kind.js";
import { unreadablePhoto } from "./unreadable-photo.js";
import { wideRing } from "./wide-ring.js";
import { wideStep } from "./wide-step.js";
import { zoomedPhoto } from "./zoomed-photo.js";

/** Every check, in the order the report speaks of them. */
export const checks: readonly Check[] = [
  unreadablePhoto,
  unreadKind,
  rawPreview,
  fewPixels,
  blockedPhoto,
  blownPhoto,
  noisyPhoto,
  crushedPhoto,
  copiedPhotos,
  plainSubject,
  noParallax,
  softSet,
  mirroredPhotos,
  separateParts,
  oneSide,
  cutSubject,
  smallSubject,
  tooFewPhotos,
  turnedSubject,
  gap,
  openRing,
  wideRing,
  bandGap,
  softPhoto,
  missedFocus,
  strayPhoto,
  zoomedPhoto,
  lightSide,
  shinySubject,
  exposureStep,
  colourCast,
  lightChange,
  movingShadow,
  twinPhotos,
  missingBand,
  extraViews,
  laidOver,
  fewViews,
  wideStep,
  storedLocation,
  changingSettings,
  automaticSettings,
  slowShutter,
  shallowFocus,
  smallAperture,
  tooManyPhotos,
  photosInside,
] as readonly Check[];

/** All that has limits: the checks, and the rule that settles what they find. */
export const ruled: readonly Omit<Check, "judge">[] = [...checks, leaveOut, evidence];

/** All that can be explained: what has limits, and the requirements that it serves. */
export const explained: readonly Omit<Check, "judge">[] = [
  ...ruled,
  ...requirements.map(({ id, title, sentence, why, unknown }) => ({
    id,
    title: `requirement: ${title}`,
    serves: id,
    measures: `${sentence} A pass needs that to be known. Checks that serve it: ${servedBy(id).join(", ")}.`,
    why,
    advice: `It is not known: ${unknown.charAt(0).toLowerCase()}${unknown.slice(1)}`,
    limits: {},
  })),
];

function servedBy(id: RequirementId): string[] {
  return checks.filter(({ serves }) => serves === id).map((check) => check.id);
}

export const defaultLimits: Limits = limitsOf(ruled);

/** Judges facts by all checks. The same facts and limits give the same findings. */
export function judge(facts: Facts, limits: Limits = defaultLimits, options: JudgeOptions = {}): Judgement {
  return judgeWith(checks, facts, limits, options);
}
