import { defineCheck, limit, measure, valued } from "./define.js";
import { lightOf } from "./light.js";

export const smallAperture = defineCheck({
  id: "small-aperture",
  title: "aperture closed beyond diffraction",
  serves: "sharp-photos",
  measures:
    "Diameter of the Airy disk, 2.44 times wavelength (0.00055 mm, green) times f-number, in pixels of the photo; the sensor's size from the two focal lengths in EXIF.",
  why: "A small hole spreads every point of light over several pixels: beyond this, closing it further costs more detail than it gains depth.",
  advice: "Open the aperture a stop or two, as far as the subject's depth allows.",
  needs: ["camera settings"],
  limits: {
    diameter: limit(
      4,
      "px",
      "two points are told apart at half the disk's diameter (Rayleigh), and pixels resolve two apiece (Nyquist): at 4 px the lens, not the sensor, is the limit",
    ),
    fNumber: limit(
      5.6,
      "times",
      "lenses of phones are fixed at f/2.8 and wider and cannot be opened; nobody who closed to less than this did so for depth; our choice",
      // Lenses of cameras lie within.
      [0.5, 128],
    ),
  },
  judge(facts, limits) {
    const disks = lightOf(facts, "airyDiameterPx").map((px, i) => {
      const { fNumber } = facts.photos[i].exif;
      return px === undefined || fNumber === undefined ? undefined : { px, fNumber };
    });
    const reason = "no f-number in EXIF, or not both focal lengths";
    const { known, skipped } = valued(facts.photos, disks, reason);
    const closed = known
      .map(({ file, value }) => ({ file, ...value }))
      .filter(({ px, fNumber }) => px > limits.diameter.value && fNumber >= limits.fNumber.value);
    if (closed.length === 0) return { findings: [], skipped };
    const worst = closed.reduce((p, q) => (q.px > p.px ? q : p));
    return {
      findings: [
        {
          about: "photo",
          severity: "note",
          photos: closed.map(({ file }) => file),
          measured: measure(worst.px, "px"),
          limit: limits.diameter,
          message: `${closed.length === 1 ? `${worst.file} was` : "These photos were"} taken at f/${Number(worst.fNumber.toFixed(1))}, where diffraction spreads a point over ${worst.px.toFixed(1)} px.`,
          advice: "Next time open the aperture a stop or two, as far as the subject's depth allows.",
        },
      ],
      skipped,
    };
  },
});
