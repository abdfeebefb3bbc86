import type { PhotoFacts } from "../types/facts.js";
import type { Limit } from "../types/units.js";
import { type Draft, defineCheck, limit, measure, valued } from "./define.js";
import { knownSubject, type SubjectLimits, subjectLimits } from "./subject.js";

export const noisyPhoto = defineCheck({
  id: "noisy-photo",
  title: "grainy photos",
  serves: "clean-tones",
  measures:
    "Standard deviation of the noise in the quietest tenth of the frame, 8-bit grey levels; in the subject's quietest tile where that has less.",
  why: "Grain hides fine texture, and the reconstruction takes it for texture of its own.",
  advice: "More light or a lower ISO, with the phone on a stand if the shutter gets slow.",
  limits: {
    sigma: limit(
      5.4,
      "grey levels",
      "signal to noise 10, the least that is acceptable (ISO 12232:2019, 6.3 note), at mid grey: 10 % of linear .18 is 5.4 codes in sRGB; the photos of four real captures have 0.45 at the most: docs/evaluation-gate.md",
    ),
    ...subjectLimits,
  },
  judge(facts, limits) {
    const noise = facts.photos.map((photo) => noiseOf(photo, limits));
    const { known, skipped } = valued(facts.photos, noise, "all of it is burnt out or black");
    const grainy = known.filter(({ value }) => value > limits.sigma.value);
    if (2 * grainy.length > facts.photos.length)
      return { findings: [throughout(grainy, facts.photos.length, limits.sigma)], skipped };
    return {
      findings: grainy.map(({ file, value }) => ({
        about: "photo",
        severity: "note",
        photos: [file],
        measured: measure(value, "grey levels"),
        limit: limits.sigma,
        message: `${file} is grainy.`,
        advice:
          "Usable if the others of this side are clean; with more light or a lower ISO it would be better.",
      })),
      skipped,
    };
  },
});

/** Texture reads as noise, so the subject's figure only ever speaks for a photo: dark cloth around it may be grainier. */
function noiseOf(photo: PhotoFacts, limits: SubjectLimits): number | undefined {
  const both = [photo.measures.noiseSigma, knownSubject(photo, limits)?.noiseSigma].flatMap(
    (noise) => noise?.value ?? [],
  );
  return both.length === 0 ? undefined : Math.min(...both);
}

/** In one photo grain is worth a note, in most of them nothing clean is left to match it with. */
function throughout(
  grainy: readonly { readonly file: string; readonly value: number }[],
  of: number,
  bound: Limit,
): Draft {
  return {
    about: "set",
    severity: "reshoot",
    whatItIs: "alone",
    anew: true,
    photos: grainy.map(({ file }) => file),
    measured: measure(grainy[Math.floor(grainy.length / 2)].value, "grey levels"),
    limit: bound,
    message: `The photos drown in noise: ${grainy.length} of ${of} hold more grain than ISO 12232 calls acceptable.`,
    advice: "Take the set again with far more light, at a low ISO, with the phone on a stand.",
  };
}
