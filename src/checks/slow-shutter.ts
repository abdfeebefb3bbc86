import type { PhotoFacts } from "../types/facts.js";
import { defineCheck, limit, measure, skippedFor } from "./define.js";
import { handHeldFactor } from "./exif.js";

export const slowShutter = defineCheck({
  id: "slow-shutter",
  title: "shutter too slow to hold by hand",
  serves: "sharp-photos",
  measures: "Exposure time times the 35 mm equivalent focal length, from EXIF.",
  why: "Hands move. Below this rule of thumb some photos of a series come out shaken.",
  advice: "More light, or the phone on a stand with a timer; where lamps are added, mind that they get hot.",
  needs: ["camera settings"],
  limits: {
    handHeld: limit(
      2,
      "times",
      "hand-held up to 1 / focal length (35 mm) seconds: common practice, no source; one stop more for stabilised phones, common practice, no source",
    ),
  },
  judge(facts, limits) {
    const factor = ({ exif }: PhotoFacts): number => handHeldFactor(exif) ?? 0;
    const unknown = facts.photos.filter(({ exif }) => handHeldFactor(exif) === undefined);
    const slow = facts.photos.filter((photo) => factor(photo) > limits.handHeld.value);
    const slowest = Math.max(...slow.map(({ exif }) => exif.exposureTimeS!));
    const longest = Math.max(...slow.map(factor)).toFixed(1);
    return {
      findings:
        slow.length === 0
          ? []
          : [
              {
                about: "photo",
                severity: "note",
                photos: slow.map(({ file }) => file),
                measured: measure(Math.max(...slow.map(factor)), "times"),
                limit: limits.handHeld,
                message:
                  slow.length === 1
                    ? `${slow[0].file} was taken with a slow shutter: ${shutter(slowest)}, ${longest} times the rule for hand-held photos.`
                    : `These photos were taken with a slow shutter: ${shutter(slowest)} at the slowest, up to ${longest} times the rule for hand-held photos.`,
                advice:
                  "If the phone was held by hand, look at full size whether the photo is sharp; more light or a stand makes this safe.",
              },
            ],
      skipped: skippedFor(
        unknown.map(({ file }) => file),
        "no exposure time or focal length (35 mm) in EXIF",
      ),
    };
  },
});

function shutter(seconds: number): string {
  return seconds >= 0.4 ? `${seconds.toFixed(1)} s` : `1/${Math.round(1 / seconds)} s`;
}
