import type { PhotoFacts } from "../types/facts.js";
import { defineCheck, limit, measure, valued } from "./define.js";
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
      "signal to noise 10, the least that is acceptable (ISO 12232:2019, 6.3 note), at mid grey: 10 % of linear .18 is 5.4 codes in sRGB",
    ),
    ...subjectLimits,
  },
  judge(facts, limits) {
    const noise = facts.photos.map((photo) => noiseOf(photo, limits));
    const { known, skipped } = valued(facts.photos, noise, "all of it is burnt out or black");
    const grainy = known.filter(({ value }) => value > limits.sigma.value);
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
