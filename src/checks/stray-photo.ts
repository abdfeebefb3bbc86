import { edgeBlurs } from "../measure/set/edge-blur.js";
import type { Facts } from "../types/facts.js";
import type { Limit } from "../types/units.js";
import { type Draft, defineCheck, limit, measure, skippedFor } from "./define.js";
import { edgeLimits, edgesBlurred } from "./edges.js";
import { partsOf } from "./links.js";

export const strayPhoto = defineCheck({
  id: "stray-photo",
  title: "photos that show something else",
  serves: "one-whole",
  removes: true,
  measures:
    "How many other photos share some surface with this one, out of all others; and whether its own edges are sharp, since a blurred photo shares nothing either.",
  why: "A photo of something else confuses the reconstruction; a photo that matches nothing is dropped by it.",
  advice:
    "Move it out of the folder; if it was meant to show the subject, take that side again in smaller steps.",
  limits: {
    strayGroup: limit(
      3,
      "photos",
      "a few photos that match one another and nothing else are strays too; our choice",
    ),
    many: limit(0.1, "ratio", "more than one in ten are told of together, and first; our choice"),
    mainShare: limit(
      0.5,
      "ratio",
      "strays are spoken of only where more than half of the set hangs together; our choice",
    ),
    ...edgeLimits,
  },
  judge(facts, limits) {
    const groups = looseGroups(facts, limits.strayGroup.value, limits.mainShare.value);
    const compared = (i: number) => facts.photos[i].measures.comparedPhotos.value >= facts.photos.length - 1;
    const apart = groups.filter((group) => group.every(compared)).flat();
    const edges = edgeBlurs(facts);
    // A blurred photo shares nothing either: only one that is shown to be sharp shows something else.
    const blurred = new Set(apart.filter((i) => edgesBlurred(edges[i], limits)));
    // Reports of versions that did not measure edges are judged as they were then.
    const unknown = apart.filter((i) => edges[i] === undefined && facts.photos[i].edgeWidthsPx !== undefined);
    const strays = apart.filter((i) => !blurred.has(i) && !unknown.includes(i));
    // A photo that hangs together with others of the set is no riddle, whether or not all were tried.
    const open = groups
      .filter((group) => !group.every(compared))
      .flat()
      .filter((i) => facts.photos[i].measures.linkedPhotos.value === 0);
    const skipped = [
      ...skippedFor(
        open.map((i) => facts.photos[i].file),
        "not compared with all other photos",
      ),
      ...skippedFor(
        unknown.map((i) => facts.photos[i].file),
        "shares nothing with the others, and has too few edges to tell whether it is blurred or shows something else",
      ),
    ];
    if (strays.length > limits.many.value * facts.photos.length)
      return { findings: [together(strays, facts, limits.many)], skipped };
    return {
      findings: strays.map((i) => ({
        about: "photo",
        severity: "leave-out",
        photos: [facts.photos[i].file],
        message: `${facts.photos[i].file} shows nothing that the rest of the set shows.`,
        advice: `Move it out of the folder. Only if it was meant to show the subject, take that side again, in small steps from ${neighboursOf(facts, i, strays)}.`,
      })),
      skipped,
    };
  },
});

/** Photos outside the largest part, in groups of at most `most`; nothing where no part holds `share` of the set. */
function looseGroups(facts: Facts, most: number, share: number): readonly (readonly number[])[] {
  const groups = partsOf(facts, 1);
  const main = groups[0]?.length ?? 0;
  if (main <= share * facts.photos.length) return [];
  return groups.filter((group) => group.length <= most && group.length < main);
}

/** The photos that are no strays next to photo `i` in capture order, for a person to stand by. */
function neighboursOf(facts: Facts, i: number, strays: readonly number[]): string {
  const good = facts.photos.flatMap((_, k) => (strays.includes(k) ? [] : [k]));
  const beside = [good.findLast((k) => k < i), good.find((k) => k > i)];
  return beside.flatMap((k) => (k === undefined ? [] : [facts.photos[k].file])).join(" or ");
}

function together(strays: readonly number[], { photos }: Facts, many: Limit): Draft {
  return {
    about: "photo",
    severity: "leave-out",
    whatItIs: "first",
    photos: strays.map((i) => photos[i].file),
    measured: measure(strays.length / photos.length, "ratio"),
    limit: many,
    message: `${strays.length} of ${photos.length} photos show nothing that the others show.`,
    advice:
      "Move them out of the folder. Where they were meant to show the subject, take those sides again, in small steps from the others.",
  };
}
