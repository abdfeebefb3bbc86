import type { Facts } from "../types/facts.js";
import { type Draft, defineCheck, limit, measure } from "./define.js";
import { linkMatches, partsOf } from "./links.js";

export const separateParts = defineCheck({
  id: "separate-parts",
  title: "photos of different things, or that nothing joins",
  serves: "one-whole",
  measures:
    "Which photos are joined by photos that share enough surface; beside one large group, a few photos are strays (stray-photo), larger groups are parts.",
  why: "Parts that share nothing come out as separate pieces of model, with no known angle or size between them.",
  advice:
    "Put each thing in a folder of its own; where it is one thing, take photos from one part to the other in small steps.",
  limits: {
    matches: linkMatches,
    photos: limit(4, "photos", "up to three are strays (stray-photo); our choice"),
    mainShare: limit(
      0.5,
      "ratio",
      "where half of the photos or fewer are joined there is no one set to speak of; our choice",
    ),
    groupedShare: limit(
      0.5,
      "ratio",
      "where more than half of the photos are in groups of two and more, the groups are told; our choice",
    ),
  },
  judge(facts, limits) {
    const { photos } = facts;
    const groups = partsOf(facts, limits.matches.value).map((part) =>
      part.toSorted((a, b) => a - b).map((i) => photos[i].file),
    );
    const main = groups[0]?.length ?? 0;
    const tell = (
      draft: Pick<Draft, "message" | "advice" | "groups" | "measured" | "limit">,
      whatItIs: Draft["whatItIs"] = "alone",
    ) => ({
      findings: [
        {
          about: "set",
          severity: "reshoot",
          whatItIs,
          photos: [],
          ...draft,
        } as const satisfies Draft,
      ],
      skipped: [],
    });
    if (photos.length < limits.photos.value) return { findings: [], skipped: [] };
    const parts = groups.filter(({ length }) => length >= limits.photos.value);
    const inParts = parts.flat().length;
    if (parts.length > 1 && inParts > limits.groupedShare.value * photos.length && parts.length <= 4)
      return tell(
        {
          groups: parts,
          measured: measure(parts[1].length, "photos"),
          limit: limits.photos,
          message: `The photos fall into ${parts.length} groups that share nothing: ${parts.map((part) => inWords(part, facts)).join(", and ")}.`,
          advice: `If these are ${parts.length} props, put each in a folder of its own and check them one by one. If they are one, nothing joins its sides: ${joinAdvice(facts, parts)}.`,
        },
        // Once joined to the others, most photos stay as they are: what they lack is of use to know.
        main > limits.mainShare.value * photos.length ? "first" : "alone",
      );
    if (main > limits.mainShare.value * photos.length) return { findings: [], skipped: [] };
    const several = groups.filter(({ length }) => length > 1);
    const grouped = several.flat().length;
    const measured = { measured: measure(main / photos.length, "ratio"), limit: limits.mainShare };
    if (several.length > 1 && grouped > limits.groupedShare.value * photos.length)
      return tell({
        ...measured,
        groups: several,
        message: `These are ${several.length} things, ${perThing(several)}: the groups share nothing with one another.`,
        advice:
          "Put each thing in a folder of its own, and take a full walk around it: a photo every 10 to 15 degrees, at two or three heights.",
      });
    if (main > 2 && main >= (1 - limits.groupedShare.value) * photos.length * 0.5)
      return tell({
        ...measured,
        groups: [groups[0]],
        message: `Only ${main} of ${photos.length} photos show one thing; the others share nothing with them.`,
        advice:
          "Move the others out of the folder and run again; where they were meant to show the same thing, take them again in small steps.",
      });
    return tell({
      ...measured,
      message: `These are photos of different things: ${photos.length} photos have nothing in common that would join more than ${main}.`,
      advice:
        "Put the photos of one thing in a folder of their own, each showing most of what the one before it showed.",
    });
  },
});

/** "24 photos (a.jpg to b.jpg)", or where others lie between, with the first names alone. */
function inWords(part: readonly string[], { photos }: Facts): string {
  const places = part.map((file) => photos.findIndex((photo) => photo.file === file));
  const inRow = places.at(-1)! - places[0] === part.length - 1;
  const names = inRow
    ? `${part[0]} to ${part.at(-1)}`
    : `${part.slice(0, 2).join(", ")} and ${part.length - 2} more`;
  return `${part.length} photos (${names})`;
}

function perThing(groups: readonly (readonly string[])[]): string {
  const sizes = groups.map(({ length }) => length);
  const [least, most] = [Math.min(...sizes), Math.max(...sizes)];
  return least === most ? `${most} photos each` : `${least} to ${most} photos each`;
}

/** Where the capture order passes from one part to another. */
function joinAdvice({ photos }: Facts, parts: readonly (readonly string[])[]): string {
  const partOf = new Map(parts.flatMap((part, i) => part.map((file) => [file, i] as const)));
  const order = photos.map(({ file }) => file).filter((file) => partOf.has(file));
  const k = order.findIndex((file, i) => i > 0 && partOf.get(file) !== partOf.get(order[i - 1]));
  const place = k > 0 ? `, for example between ${order[k - 1]} and ${order[k]}` : "";
  return `take photos in small steps from one to the other${place}`;
}
