import type { Facts } from "../types/facts.js";
import { defineCheck, inStops, limit, measure } from "./define.js";

export const lightSide = defineCheck({
  id: "light-side",
  title: "light from one side",
  serves: "even-exposure",
  measures:
    "Brightness of the subject by the direction it is seen from, exposure taken out: what one bright and one dark side explain of how it changes (the first harmonic around the subject). Two lamps on opposite sides leave it small. A subject painted darker on one side measures the same, and where EXIF does not tell the exposure so does one that was turned under lamps at rest: then it is a note.",
  why: "With light from one side only the lit half of the texture is usable: the rest comes out dark and grainy, and its shadows are baked into the model.",
  advice:
    "Put a second lamp or a white reflector on the dark side, or move to open shade or under an overcast sky. Lamps get hot: keep them away from old and delicate things, and let the house rules decide.",
  needs: ["other photos"],
  limits: {
    noted: limit(
      1,
      "stops",
      "over two opposite lamps, three lamps and an overcast sky (0.66 at the most), under one lamp (2.1 at the least): docs/evaluation-light.md",
    ),
    reshoot: limit(
      2,
      "stops",
      "a lighting ratio of 4 to 1, beyond which shadows lose their detail (common practice, no source)",
    ),
  },
  rising: ["noted", "reshoot"],
  judge(facts, limits) {
    const falloff = facts.light?.falloff;
    if (falloff === undefined) return { findings: [], skipped: [{ photos: [], reason: whyNot(facts) }] };
    const { oneSidedStops, twoSidedStops, falloffStops, darkPhotos } = falloff;
    if (oneSidedStops < limits.noted.value || oneSidedStops < twoSidedStops)
      return { findings: [], skipped: [] };
    const far = oneSidedStops >= limits.reshoot.value;
    // Taken out by what the photos share, exposure cannot be told from a prop that turned under lamps at rest.
    const bad = far && facts.light?.exposureSource === "exif";
    return {
      findings: [
        {
          about: "set",
          severity: bad ? "reshoot" : "note",
          anew: bad,
          photos: darkPhotos,
          measured: measure(oneSidedStops, "stops"),
          limit: far ? limits.reshoot : limits.noted,
          message: `The light comes from one side: on its dark side the subject is up to ${inStops(falloffStops)} darker than on the bright one.`,
          advice: bad
            ? "Put a second lamp or a white reflector on the dark side, or wait for open shade or an overcast sky, and take the set again; keep hot lamps away from old and delicate things, and let the house rules decide."
            : "A second lamp or a white reflector on the dark side, open shade or an overcast sky would even it out; where the prop itself is darker there, or was turned under lamps at rest, all is well.",
        },
      ],
      skipped: [],
    };
  },
});

function whyNot({ around, light }: Facts): string {
  if (around.turnedSubject === true)
    return "the subject was turned, so the light stayed with the camera: its sides cannot be told from the light";
  if (light === undefined || around.parts.every(({ cameras }) => cameras.length === 0))
    return "where the camera stood around the subject is not known";
  return "the subject's brightness is known from less than three quarters of the way round: one lamp cannot be told from two";
}
