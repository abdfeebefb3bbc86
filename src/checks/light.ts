import type { Facts } from "../types/facts.js";
import type { LightPhoto } from "../types/light.js";

/** A measure of the light on the subject, one a photo of the whole set; undefined where it, or the light of the whole set, is not known. */
export function lightOf(facts: Facts, name: LightMeasure): (number | undefined)[] {
  return facts.photos.map((_, i) => facts.light?.photos[i][name]);
}

type LightMeasure = Exclude<keyof LightPhoto, "file">;

/** Why what moves over the subject's surface could not be told. */
export const notFollowed = "too little of the subject's surface could be followed into other photos";

/** Why a photo could not be held against those around it. */
export const sharesTooLittle = "too little shared with the photos around it to compare";
