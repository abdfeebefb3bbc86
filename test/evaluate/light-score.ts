/** Figures of the light against exact truth, from measured rings. */
import { lightSide } from "#goodgate/checks/light-side.js";
import { movingShadow } from "#goodgate/checks/moving-shadow.js";
import { shinySubject } from "#goodgate/checks/shiny-subject.js";
import { subjectStops } from "#goodgate/measure/light/brightness.js";
import { type Falloff, falloffOf, type SideLight } from "#goodgate/measure/light/falloff.js";
import { type LitPhoto, measureLight } from "#goodgate/measure/light/light.js";
import { sureOf } from "#goodgate/measure/light/region.js";
import type { Facts } from "#goodgate/types/facts.js";
import type { LightFacts } from "#goodgate/types/light.js";
import { ONE_LAMP_DEG } from "./light-scenes.js";
import type { MeasuredRing, MeasuredWhole, PhotoTruth } from "./light-sets.js";
import { percentile, type Row, type Section } from "./table.js";

/** Sizes of falloff that the bars speak of, stops. */
const LEAST_FALLOFF = 0.5;
const MOST_FALLOFF = 3;
const SWING_BAR = 0.3;
const DARK_SIDE_BAR_DEG = 30;

/** Share of the surface under highlights from which a set has to be called shiny. */
const LEAST_SHINE = 0.05;

/** Angle between two azimuths, degrees in [0, 180]. */
function apart(p: number, q: number): number {
  return Math.abs(((((p - q) % 360) + 540) % 360) - 180);
}

/** True directions counted from the first photo, as the audit counts them. */
function trueSides(truth: readonly PhotoTruth[]): SideLight[] {
  return truth.map(({ azimuthDeg, stops }) => ({
    azimuthDeg: (azimuthDeg - truth[0].azimuthDeg + 360) % 360,
    stops,
  }));
}

/** Where the dark side lies if one lamp makes it, counted from the first photo. */
function trueDarkDeg(truth: readonly PhotoTruth[]): number {
  return ONE_LAMP_DEG + 180 - truth[0].azimuthDeg;
}

interface Tally {
  readonly falloff: number[];
  readonly dark: number[];
  /** Largest one-sided falloff, and the smallest excess of the two-sided over it, of two opposite lamps. */
  readonly opposite: { oneSided: number[]; finding: number };
  readonly oneLamp: number[];
  readonly even: number[];
  skipped: number;
}

function newTally(): Tally {
  return { falloff: [], dark: [], opposite: { oneSided: [], finding: 0 }, oneLamp: [], even: [], skipped: 0 };
}

function addFalloff(
  tally: Tally,
  name: string,
  truth: readonly PhotoTruth[],
  found: Pick<Falloff, "falloffStops" | "oneSidedStops" | "twoSidedStops" | "darkSideDeg"> | undefined,
): void {
  const { falloffStops: size } = falloffOf(trueSides(truth))!;
  if (found === undefined) {
    tally.skipped++;
    return;
  }
  const { oneSidedStops, twoSidedStops } = found;
  if (size >= LEAST_FALLOFF && size <= MOST_FALLOFF) {
    tally.falloff.push(Math.abs(found.falloffStops - size));
    if (name.startsWith("one lamp")) tally.dark.push(apart(found.darkSideDeg, trueDarkDeg(truth)));
  }
  if (name.startsWith("two opposite")) {
    tally.opposite.oneSided.push(oneSidedStops);
    if (oneSidedStops >= lightSide.limits.noted.value && oneSidedStops >= twoSidedStops)
      tally.opposite.finding++;
  } else if (name.startsWith("one lamp")) {
    if (size >= 1.5) tally.oneLamp.push(oneSidedStops);
  } else tally.even.push(oneSidedStops);
}

function falloffRows(tally: Tally): Row[] {
  return [
    {
      what: `error of the falloff, true falloff ${LEAST_FALLOFF} to ${MOST_FALLOFF} stops, ${tally.falloff.length} sets (median/max), stops`,
      measured: [percentile(tally.falloff, 0.5), Math.max(...tally.falloff)],
      bar: [SWING_BAR, SWING_BAR],
    },
    {
      what: `dark side off the lamp's far side, ${tally.dark.length} sets (median/max), degrees`,
      measured: [percentile(tally.dark, 0.5), Math.max(...tally.dark)],
      bar: [DARK_SIDE_BAR_DEG, DARK_SIDE_BAR_DEG],
    },
    {
      what: `two opposite lamps reported as one-sided, of ${tally.opposite.oneSided.length} sets`,
      measured: [tally.opposite.finding],
      bar: [0],
    },
    {
      what: "one-sided falloff of two opposite lamps (median/max), stops",
      measured: [percentile(tally.opposite.oneSided, 0.5), Math.max(...tally.opposite.oneSided)],
    },
    {
      what: "one-sided falloff of overcast and three lamps (median/max), stops",
      measured: [percentile(tally.even, 0.5), Math.max(...tally.even)],
    },
    {
      what: "one-sided falloff of one lamp, true falloff 1.5 stops and more (least/median), stops",
      measured: [Math.min(...tally.oneLamp), percentile(tally.oneLamp, 0.5)],
    },
    { what: "sets without a measured falloff", measured: [tally.skipped], bar: [0] },
  ];
}

/** Brightness alone, with the true region, direction and exposure. */
export function brightnessSection(rings: readonly MeasuredRing[]): Section {
  const tally = newTally();
  for (const { brightness } of rings) {
    for (const [name, photos] of Object.entries(brightness)) {
      const truth = photos.map((photo) => photo.truth);
      const sides = trueSides(truth).flatMap(({ azimuthDeg }, i) => {
        const stops = subjectStops(photos[i].cells, sureOf(photos[i].region));
        return stops === undefined ? [] : [{ azimuthDeg, stops }];
      });
      addFalloff(tally, name, truth, falloffOf(sides));
    }
  }
  return {
    title: "Light around the subject: brightness alone",
    about:
      "Rings of 24 rendered photos under one lamp in four rooms, two opposite lamps at three ratios, overcast and three lamps; true subject, directions and exposure. What is left is noise, clipping, 8 bits and cells.",
    rows: falloffRows(tally),
  };
}

/** The light of a set as an audit measures it. */
export function lightOf(set: MeasuredWhole, region: "found" | "true"): LightFacts {
  const regions = region === "true" ? set.trueRegions : set.regions;
  const photos = set.photos.map(({ file, widthPx, heightPx, exif }, i): LitPhoto => {
    const own = regions[i];
    const { exposureOffsetStops, redOffsetStops, blueOffsetStops } = set.solved[i];
    return {
      file,
      widthPx,
      heightPx,
      exif,
      region: own && (() => own),
      exposureOffsetStops: exposureOffsetStops?.value,
      redOffsetStops: redOffsetStops?.value,
      blueOffsetStops: blueOffsetStops?.value,
      direction: set.directions[i],
    };
  });
  const pairs = set.pairs.map(({ a, b, inliers, facts }) => ({
    a,
    b,
    inliers,
    driftStops: facts.exposureDriftStops,
  }));
  return measureLight(photos, (i) => set.photos[i], pairs, false);
}

/** Whole sets as an audit measures them: region, directions and exposure found from the photos. */
export function wholeSections(rings: readonly MeasuredRing[]): Section[] {
  const tally = newTally();
  const caught: boolean[] = [];
  const accused: boolean[] = [];
  const shares: number[] = [];
  const trueShares: number[] = [];
  const mattShares: number[] = [];
  const still: number[] = [];
  const steps: number[] = [];
  let places = 0;
  for (const { whole } of rings) {
    for (const [name, set] of Object.entries(whole)) {
      const light = lightOf(set, "found");
      const glossy = name.endsWith("glossy");
      const changed = set.truth[0] !== undefined && name.includes("half way");
      if (!glossy && !changed) addFalloff(tally, name, set.truth, light.falloff);
      if (changed) {
        steps.push(Math.abs(light.step?.stops ?? 0));
        if (light.step?.after === set.photos[set.photos.length / 2].file) places++;
      } else if (light.step !== undefined) still.push(Math.abs(light.step.stops));
      const share = shownShare(light);
      const finding = shineFound(light);
      if (glossy) {
        const truth = percentile(
          set.truth.map((photo) => photo.highlightRatio),
          0.5,
        );
        // A box of flat sides mirrors the lamps to few places.
        if (truth < LEAST_SHINE) continue;
        caught.push(finding);
        shares.push(share);
        trueShares.push(truth);
      } else {
        accused.push(finding);
        mattShares.push(share);
      }
    }
  }
  const ratio = (flags: readonly boolean[]) => flags.filter(Boolean).length / flags.length;
  return [
    {
      title: "Light around the subject: whole sets",
      about:
        "The same rings measured as an audit does: region of the subject and directions found from the photos, exposure fixed, or automatic (metered on the whole frame) without EXIF, then taken out by the shared surface.",
      rows: falloffRows(tally),
    },
    {
      title: "Light that changed",
      about: "One of two opposite lamps goes out after half of the photos; exposure fixed and stated.",
      rows: [
        {
          what: `step found at its place, share of ${steps.length} sets`,
          measured: [places / steps.length],
          bar: [0.9],
          atLeast: true,
        },
        {
          what: "its size on the shared surface (least/median), stops",
          measured: [Math.min(...steps), percentile(steps, 0.5)],
        },
        {
          what: "largest step where nothing changed (median/max), stops",
          measured: [percentile(still, 0.5), Math.max(...still)],
        },
      ],
    },
    {
      title: "A shiny subject",
      about:
        "Three lamps, highlights of half a stop and more on over 5 % of the subject in half of the photos, beside all matt sets above.",
      rows: [
        {
          what: `glossy sets caught, share of ${caught.length}`,
          measured: [ratio(caught)],
          bar: [0.9],
          atLeast: true,
        },
        { what: `matt sets accused, share of ${accused.length}`, measured: [ratio(accused)], bar: [0.02] },
        {
          what: "share of the surface in glossy sets: measured (least/median), true (median)",
          measured: [Math.min(...shares), percentile(shares, 0.5), percentile(trueShares, 0.5)],
        },
        {
          what: "share in matt sets (median/max)",
          measured: [percentile(mattShares, 0.5), Math.max(...mattShares)],
        },
      ],
    },
    shadowSection(rings),
  ];
}

/** Photos that a shadow is put into, and how much darker it makes the half of the subject that it lies on. */
const SHADED = [4, 11, 18];
const SHADE_CODES = 24;

/** A photographer's shadow over the left half of the subject, 1.5 stops deep, in three photos far from one another. */
function withShadow(set: MeasuredWhole): MeasuredWhole {
  const photos = set.photos.map((photo, i) => {
    if (!SHADED.includes(i)) return photo;
    const { columns, share } = set.trueRegions[i];
    const inside = Array.from(share).flatMap((value, cell) => (value >= 0.5 ? [cell % columns] : []));
    const edge = percentile(inside, 0.5);
    const darker = (codes: Uint8Array) =>
      codes.map((code, cell) => (cell % columns < edge ? Math.max(0, code - SHADE_CODES) : code));
    const { red, green, blue } = photo.cells;
    return {
      ...photo,
      cells: { ...photo.cells, red: darker(red), green: darker(green), blue: darker(blue) },
    };
  });
  return { ...set, photos };
}

function shadowSection(rings: readonly MeasuredRing[]): Section {
  const shaded: number[] = [];
  const clean: number[] = [];
  for (const { whole } of rings) {
    for (const [name, set] of Object.entries(whole)) {
      if (name.endsWith("glossy") || name.includes("half way")) continue;
      lightOf(withShadow(set), "found").photos.forEach(({ shadowRatio }, i) => {
        if (SHADED.includes(i)) shaded.push(shadowRatio ?? 0);
      });
      for (const { shadowRatio } of lightOf(set, "found").photos) clean.push(shadowRatio ?? 0);
    }
  }
  const limit = movingShadow.limits.share.value;
  const over = (shares: readonly number[]) => shares.filter((share) => share > limit).length / shares.length;
  return {
    title: "A shadow that moves with the photographer",
    about:
      "A shadow of 1.5 stops over half of the subject in three photos of each matt set, put into the measured cells. No bar is set: it is a note.",
    rows: [
      { what: `shaded photos named, share of ${shaded.length}`, measured: [over(shaded)] },
      { what: `clean photos named, share of ${clean.length}`, measured: [over(clean)] },
      {
        what: "share of the surface: shaded (least/median), clean (median/99th percentile/max)",
        measured: [
          Math.min(...shaded),
          percentile(shaded, 0.5),
          percentile(clean, 0.5),
          percentile(clean, 0.99),
          Math.max(...clean),
        ],
      },
    ],
  };
}

/** What the check goes by: a share of 0 where it cannot judge. */
function shownShare(light: LightFacts): number {
  const known = light.photos.flatMap(({ highlightRatio }) => highlightRatio ?? []);
  return known.length === 0 ? 0 : percentile(known, 0.5);
}

function shineFound(light: LightFacts): boolean {
  return shinySubject.judge({ light } as Facts, shinySubject.limits).findings.length > 0;
}
