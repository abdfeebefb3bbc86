import { angleBetweenDirections } from "../measure/coverage/directions.js";
import { edgeWidthsOfSet } from "../measure/set/edge-blur.js";
import type { AroundPart } from "../types/around.js";
import type { Facts } from "../types/facts.js";
import type { Limits, RequirementId, Skipped } from "../types/judgement.js";
import { placedParts, WAY_ROUND } from "./around.js";
import { type LimitTable, limit } from "./define.js";
import { gap } from "./gap.js";
import { openRing } from "./open-ring.js";
import { knownSubject } from "./subject.js";

/**
 * Not a check of its own but the rule that says when a requirement was judged at all: a pass is given only where each was.
 * It is explained and its limits can be replaced like those of the checks.
 */
export const evidence = {
  id: "evidence",
  title: "what has to be known for a pass",
  serves: "whole-folder",
  measures:
    "For each requirement, the share of the photos that stay in the folder on which it could be judged: placed around the subject, with a subject that is known, compared with others for sharpness and exposure.",
  why: "What nobody could judge may be as wrong as it likes: without evidence there is no pass, only that it cannot be told.",
  advice:
    "Do what the report says would make it known, such as putting a patterned cloth under the subject, and run again.",
  limits: {
    known: limit(
      0.8,
      "ratio",
      "nearly all: of four real captures the cameras are placed and the subject known on 97 % of the photos and more; our choice",
    ),
    doubtful: limit(
      50,
      "degrees",
      "steps that may be gaps or may not, together: two of the widest that still match (gap.step); four real captures have such steps of 46 degrees at the most, subsets of two of them with true holes of 60 have 58 and more; our choice between",
      WAY_ROUND,
    ),
  },
} as const;

type Own = LimitTable<keyof typeof evidence.limits>;

/** Why a requirement could not be judged, and what would make it known. */
export interface Unknown {
  readonly reason: string;
  readonly wayOut: string;
}

/**
 * Why a requirement could not be judged on the photos that stay; undefined where it could.
 *
 * @param staying the facts of the photos that stay in the folder
 * @param skipped what the checks could not judge
 * @param limits of all checks
 */
export function unknownOf(
  id: RequirementId,
  staying: Facts,
  skipped: readonly Skipped[],
  limits: Limits,
): Unknown | undefined {
  const own = limits[evidence.id] as Own;
  const share = own.known.value;
  const { photos } = staying;
  const tooFew = (known: number): boolean => known < share * photos.length;
  const counted = (known: number): string => `only of ${known} of ${photos.length} photos`;
  switch (id) {
    // These are counted, not worked out.
    case "whole-folder":
    case "enough-photos":
    case "clean-tones":
      return undefined;
    case "one-whole": {
      const open = new Set(
        skipped.filter(({ check }) => check === "stray-photo").flatMap((one) => one.photos),
      );
      return tooFew(photos.length - open.size)
        ? {
            reason: `Whether all photos show the same thing is not known: ${open.size} of them match none that they were compared with.`,
            wayOut: PATTERN,
          }
        : undefined;
    }
    case "around-subject": {
      const { parts, skipped: without } = placedParts(staying, limits[gap.id] as typeof gap.limits);
      if (parts.length === 0)
        return {
          reason: `Where the camera stood is not known: ${without[0].reason}.`,
          wayOut: PATTERN,
        };
      const placed = parts[0].cameras.length;
      if (tooFew(placed))
        return { reason: `Where the camera stood is known ${counted(placed)}.`, wayOut: PATTERN };
      const { widthDeg, places } = doubtfulWay(parts[0], skipped);
      const named = places.slice(0, MOST_PLACES).map(([from, to]) => `between ${from} and ${to}`);
      const more = places.length > MOST_PLACES ? [`${places.length - MOST_PLACES} more places`] : [];
      return widthDeg > own.doubtful.value
        ? {
            reason: `Whether photos are missing is not known on ${Math.round(widthDeg)} degrees of the way round: ${[...named, ...more].join(", ")}.`,
            wayOut: "Add photos in small steps there.",
          }
        : undefined;
    }
    case "subject-in-frame": {
      const known = photos.filter((photo) => knownSubject(photo, SUBJECT(limits)) !== undefined).length;
      return tooFew(known)
        ? {
            reason: `Which pixels are the subject's is known ${counted(known)}.`,
            wayOut:
              "Leave room around the subject, and let something with a pattern stand still behind it, not close to it.",
          }
        : undefined;
    }
    case "sharp-set":
      return edgeWidthsOfSet(photos)?.some((width) => width !== null)
        ? undefined
        : {
            reason: "Whether the set as a whole is sharp is not known: too few photos have edges to tell by.",
            wayOut: "Put something with fine print beside the subject, at its distance.",
          };
    case "sharp-photos": {
      const open = new Set(
        skipped.filter(({ check }) => check === "soft-photo").flatMap((one) => one.photos),
      );
      const known = photos.filter(({ file }) => !open.has(file)).length;
      return tooFew(known)
        ? {
            reason: `Whether each photo is as sharp as the others is known ${counted(known)}.`,
            wayOut: PATTERN,
          }
        : undefined;
    }
    case "even-exposure": {
      const known = photos.filter(({ measures }) => measures.exposureOffsetStops !== undefined).length;
      return tooFew(known)
        ? { reason: `Whether the light is the same is known ${counted(known)}.`, wayOut: PATTERN }
        : undefined;
    }
  }
}

/** Places that are named; the others are counted. */
const MOST_PLACES = 2;

const PATTERN =
  "Put a patterned cloth or a newspaper under the subject, and take the set again in small steps, each showing most of what the last one showed.";

const SUBJECT = (limits: Limits) => limits["cut-subject"] as Parameters<typeof knownSubject>[1];

const SPACES: ReadonlySet<string> = new Set([gap.id, openRing.id]);

/** Steps of which the checks of gaps and of open sides could not tell whether photos are missing there. */
function doubtfulWay(
  { cameras }: AroundPart,
  skipped: readonly Skipped[],
): { readonly widthDeg: number; readonly places: readonly (readonly string[])[] } {
  const steps = skipped.flatMap(({ check, photos }) => {
    if (!SPACES.has(check) || photos.length !== 2) return [];
    const [one, other] = photos.map((name) => cameras.find(({ file }) => file === name));
    return one === undefined || other === undefined
      ? []
      : [{ photos, widthDeg: angleBetweenDirections(one, other) }];
  });
  return {
    widthDeg: steps.reduce((sum, step) => sum + step.widthDeg, 0),
    places: steps.toSorted((a, b) => b.widthDeg - a.widthDeg).map(({ photos }) => photos),
  };
}
