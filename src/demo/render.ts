import type { RgbImage } from "../types/pixels.js";
import { depthOf } from "./camera.js";
import {
  defocus,
  develop,
  gaussianBlur,
  type LinearImage,
  motionBlur,
  phoneNoise,
  pxFrom1920,
  scaleChannels,
} from "./faults.js";
import { backgroundInverseDepth, type FocusScene, focusBlur } from "./focus.js";
import type { Lamp } from "./light.js";
import type { Fault, SetOptions } from "./options.js";
import { type PhotoPlan, type SetPlan, strayScene } from "./plan.js";
import { makeProp } from "./props/index.js";
import { mixSeed } from "./random.js";
import { assembleScene, type Part, type Scene, turnPart } from "./scene.js";
import { drawScene } from "./shade.js";
import { makeSurroundings, makeWindow } from "./surroundings.js";
import { apply, radians, rotationAbout, scale, type Vector3 } from "./vector.js";

const tungsten: Vector3 = [1.06, 1, 0.9];
const daylight: Vector3 = [0.97, 1, 1.05];

/** Lamps and ambient light of a set-up. */
function lighting(options: SetOptions): { lamps: Lamp[]; ambient: Vector3 } {
  const { lampAzimuthDeg = 0, ambientStops = 0 } = options;
  const { lamps, ambient } = usualLighting(options);
  const turn = rotationAbout("z", radians(-lampAzimuthDeg));
  return {
    lamps:
      lampAzimuthDeg === 0 ? lamps : lamps.map((lamp) => ({ ...lamp, position: apply(turn, lamp.position) })),
    ambient: scale(ambient, 2 ** ambientStops),
  };
}

function usualLighting(options: SetOptions): { lamps: Lamp[]; ambient: Vector3 } {
  const weaker = 2 ** -options.lampRatioStops;
  const left: Lamp = { position: [-1.1, 0.9, 1.2], radiusM: 0.25, strength: 2.4, colour: tungsten };
  const right: Lamp = { position: [1.1, -0.9, 1.1], radiusM: 0.25, strength: 2.4 * weaker, colour: tungsten };
  const ceiling: Lamp = { position: [0.3, 0.5, 1.9], radiusM: 0.4, strength: 2, colour: daylight };
  switch (options.lamps) {
    case "three":
      return { lamps: [left, right, ceiling], ambient: [0.4, 0.41, 0.42] };
    case "two opposite":
      return { lamps: [left, right], ambient: [0.3, 0.3, 0.31] };
    case "one":
      return { lamps: [{ ...left, position: [-1.5, 0.6, 0.75] }], ambient: [0.14, 0.14, 0.15] };
    case "overcast":
      return { lamps: [], ambient: [1, 1.01, 1.03] };
  }
}

interface Painted {
  readonly subject: Part[];
  readonly surroundings: Part[];
}

/** A part that paints its texture once, in the frame it was made in. */
function paintOnce(part: Part): Part {
  let texture: ReturnType<Part["paint"]> | undefined;
  return {
    ...part,
    paint: () => {
      texture ??= part.paint();
      return texture;
    },
  };
}

/** Values kept by key, the longest unused given up: a scene is 100 MB and takes two seconds. */
function createCache<Value>(most: number): (key: string, make: () => Value) => Value {
  const kept = new Map<string, Value>();
  return (key, make) => {
    const value = kept.get(key) ?? make();
    kept.delete(key);
    kept.set(key, value);
    if (kept.size > most) kept.delete(kept.keys().next().value as string);
    return value;
  };
}

const cachedParts = createCache<Painted>(2);
const cachedScene = createCache<Scene>(2);

function partsOf(options: SetOptions): Painted {
  const { seed, subject, material, subjectSize, background } = options;
  return cachedParts(JSON.stringify([seed, subject, material, subjectSize, background]), () => ({
    subject: makeProp(subject, seed, material, subjectSize).map(paintOnce),
    surroundings: makeSurroundings(background, mixSeed(seed, 81)).map(paintOnce),
  }));
}

/** The scene of a set, drawn from the options alone; kept for the next photo. */
export function sceneOf(options: SetOptions, subjectTurnDeg = 0): Scene {
  const { seed, subject, material, subjectSize, background, lamps, lampRatioStops } = options;
  const { lampAzimuthDeg, ambientStops, gloss, window } = options;
  const key = JSON.stringify([
    [seed, subject, material, subjectSize, background, lamps, lampRatioStops, subjectTurnDeg],
    [lampAzimuthDeg, ambientStops, gloss, window],
  ]);
  return cachedScene(key, () => {
    const parts = partsOf(options);
    const polished =
      gloss === undefined || material !== "glossy"
        ? parts.subject
        : parts.subject.map((part) => ({ ...part, gloss }));
    const turned =
      subjectTurnDeg === 0 ? polished : polished.map((part) => turnPart(part, radians(subjectTurnDeg)));
    const light = lighting(options);
    const panes = window === undefined ? [] : [makeWindow(window)];
    return assembleScene([...turned, ...parts.surroundings, ...panes], light.lamps, light.ambient);
  });
}

export interface LinearPhoto {
  /** Upright, linear light, without blur, exposure fault or noise. */
  readonly image: LinearImage;
  /** Share of each pixel that lies on the subject, 0 to 255; all 0 in a stray photo. */
  readonly mask: Uint8Array;
  readonly focus: FocusScene;
}

/** What the lens of photo `index` sees before anything goes wrong: draw it once, then spoil it many times. */
export function renderLinear(plan: SetPlan, index: number): LinearPhoto {
  const photo = plan.photos[index];
  const stray = photo.faults.find((fault) => fault.kind === "stray");
  const scene =
    stray === undefined
      ? sceneOf(plan.options, photo.subjectTurnDeg)
      : sceneOf(strayScene(plan.options, stray.subject));
  const { widthPx: width, heightPx: height } = photo.camera;
  const image: LinearImage = { width, height, data: new Float32Array(3 * width * height) };
  const mask = new Uint8Array(width * height);
  const inverseDepth = new Float32Array(width * height);
  drawScene(scene, photo.camera, image, mask, inverseDepth);
  if (stray !== undefined) mask.fill(0);
  const subject = 1 / Math.max(1e-3, depthOf(photo.camera, plan.subjectCentre));
  return { image, mask, focus: { inverseDepth, subject } };
}

/** Softness below this, px at 1920, changes no code value that noise does not hide. */
const leastSoftnessPx = 0.2;

/**
 * Faults in the order light meets them: lens and hand, then exposure and white balance, then the sensor's noise,
 * clipping and coding.
 *
 * @param faults kinds that belong to the camera's place or the file (zoom, cut, small, stray, twin, location) change
 * nothing here.
 * @throws RangeError for the fault "focus-plane" without `own.focus`.
 */
export function spoil(
  image: LinearImage,
  faults: readonly Fault[],
  own: {
    readonly iso: number;
    readonly softnessPx: number;
    readonly exposureStops: number;
    readonly noiseSeed: number;
    /** Only the fault "focus-plane" asks for it. */
    readonly focus?: FocusScene;
  },
): RgbImage {
  let light = image;
  let { iso } = own;
  let stops = own.exposureStops;
  let red = 0;
  let blue = 0;
  if (own.softnessPx >= leastSoftnessPx) light = gaussianBlur(light, pxFrom1920(own.softnessPx, light));
  for (const fault of faults) {
    if (fault.kind === "defocus") light = defocus(light, pxFrom1920(fault.sigmaPx, light), fault.shape);
    if (fault.kind === "focus-plane") light = focusOnPlane(light, own.focus, fault);
    if (fault.kind === "motion")
      light = motionBlur(light, pxFrom1920(fault.lengthPx, light), fault.directionDeg);
    if (fault.kind === "exposure") stops += fault.stops;
    if (fault.kind === "colour-cast") {
      red += fault.redStops;
      blue += fault.blueStops;
    }
    if (fault.kind === "noise") iso = fault.iso;
  }
  if (stops !== 0 || red !== 0 || blue !== 0) {
    light = scaleChannels(light, { red: stops + red, green: stops, blue: stops + blue });
  }
  return develop(light, phoneNoise(iso), own.noiseSeed);
}

function focusOnPlane(
  image: LinearImage,
  focus: FocusScene | undefined,
  { plane, sigmaPx }: Extract<Fault, { kind: "focus-plane" }>,
): LinearImage {
  if (focus === undefined) throw new RangeError('the fault "focus-plane" needs to know depths (own.focus)');
  const far = backgroundInverseDepth(focus);
  const [sharp, soft] = plane === "background" ? [far, focus.subject] : [focus.subject, far];
  return focusBlur(image, focus.inverseDepth, sharp, soft, pxFrom1920(sigmaPx, image));
}

/** Photo `index` from its clean picture: 8 bits, upright. */
export function developPhoto(
  plan: SetPlan,
  photo: PhotoPlan,
  { image, focus }: Pick<LinearPhoto, "image" | "focus">,
): RgbImage {
  return spoil(image, photo.faults, {
    iso: plan.options.iso,
    softnessPx: photo.softnessPx,
    exposureStops: photo.ownExposureStops,
    noiseSeed: photo.noiseSeed,
    focus,
  });
}

/** Photo `index` as the phone would show it: upright, 8 bits, all faults in; `mask` as in `renderLinear`. */
export function renderPhoto(plan: SetPlan, index: number): { rgb: RgbImage; mask: Uint8Array } {
  const seen = renderLinear(plan, index);
  return { rgb: developPhoto(plan, plan.photos[index], seen), mask: seen.mask };
}
