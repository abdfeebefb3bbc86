import { defineCheck, limit, skippedFor } from "./define.js";

export const crushedPhoto = defineCheck({
  id: "crushed-photo",
  title: "photos crushed by compression",
  serves: "clean-tones",
  measures:
    "Mean step that a JPEG file rounds its coarse coefficients of lightness to (half waves of 2 px and more in blocks of 8 x 8), in grey levels: texture of less than half of it is gone.",
  why: "Fine texture is rounded away and the edges of blocks take its place, in another spot of the subject in each photo.",
  advice: "Copy the original from the camera: a messenger, a web page or an editor saved this one small.",
  inMost: {
    message: (count, of) =>
      `The photos are crushed by compression: ${count} of ${of} hold blocks instead of texture.`,
    advice:
      "Copy the originals from the camera, or set it to a better quality: no program brings back what compression took.",
  },
  limits: {
    step: limit(
      40,
      "grey levels",
      "of 12 photos of a rendered ring quality 30 (step 24) leaves 0.72 of the verified matches of quality 92 and all cameras are placed; quality 15 (48) leaves 0.44 and none are; of 12 embossed ones of sheet gold 0.81 and 0.76: docs/evaluation-gate.md; our choice between",
    ),
  },
  judge(facts, limits) {
    const crushed = facts.photos.flatMap(({ file, jpegStep }) =>
      jpegStep !== undefined && jpegStep.value > limits.step.value ? [{ file, jpegStep }] : [],
    );
    const unknown = facts.photos.filter(({ jpegStep }) => jpegStep === undefined).map(({ file }) => file);
    return {
      findings: crushed.map(({ file, jpegStep }) => ({
        about: "photo" as const,
        severity: "reshoot" as const,
        photos: [file],
        measured: jpegStep,
        limit: limits.step,
        message: `${file} is crushed by compression: what differs by less than ${Math.round(jpegStep.value / 2)} of 255 grey levels is gone.`,
        advice: "Copy the original from the camera; where there is none, take it again at a better quality.",
      })),
      skipped: skippedFor(unknown, "only JPEG files say how much was rounded away"),
    };
  },
});
