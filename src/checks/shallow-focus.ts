import { defineCheck, limit, measure, valued } from "./define.js";
import { lightOf } from "./light.js";

export const shallowFocus = defineCheck({
  id: "shallow-focus",
  title: "depth of field too small for the subject",
  serves: "sharp-photos",
  measures:
    "Half the subject's width (front to outline, for a round one) over the depth of field of a thin lens at the distance that EXIF stores; circle of confusion 0.03 mm on a 36 x 24 mm frame, brought to the sensor's size.",
  why: "Where the depth of field is smaller than the subject, front and outline are never sharp in one photo.",
  advice:
    "Step back, close the aperture (a higher f-number) with the camera on a stand, or use a shorter lens.",
  needs: ["camera settings"],
  limits: {
    depth: limit(1, "times", "depth of field of a thin lens (Greenleaf 1950, from memory)"),
  },
  judge(facts, limits) {
    const sharpMm = lightOf(facts, "depthOfFieldMm");
    const depths = lightOf(facts, "subjectDepthMm").map((ownMm, i) =>
      // Depth of field that is absent has no end.
      ownMm === undefined ? undefined : { ownMm, sharpMm: sharpMm[i] ?? Number.POSITIVE_INFINITY },
    );
    const reason = "EXIF stores no distance to the subject, no f-number or no focal length";
    const { known, skipped } = valued(facts.photos, depths, reason);
    const shallow = known.map(({ file, value }) => ({ file, ...value, times: value.ownMm / value.sharpMm }));
    const beyond = shallow.filter(({ times }) => times > limits.depth.value);
    if (beyond.length === 0) return { findings: [], skipped };
    const worst = beyond.reduce((p, q) => (q.times > p.times ? q : p));
    return {
      findings: [
        {
          about: "photo",
          severity: "note",
          photos: beyond.map(({ file }) => file),
          measured: measure(worst.times, "times"),
          limit: limits.depth,
          message: `${beyond.length === 1 ? worst.file : "These photos"} cannot be sharp from the subject's front to its outline: about ${millimetres(worst.sharpMm)} are in focus of ${millimetres(worst.ownMm)}.`,
          advice:
            "Step back or close the aperture to a higher f-number, with the camera on a stand, so that all of the side you see is sharp.",
        },
      ],
      skipped,
    };
  },
});

function millimetres(value: number): string {
  return `${value < 10 ? value.toFixed(1) : Math.round(value)} mm`;
}
