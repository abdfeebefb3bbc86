import type { PhotoFacts } from "../../types/facts.js";
import type { Report } from "../../types/report.js";
import { HOURS } from "../around.js";
import { plainNumber } from "../wording.js";
import { type Html, html } from "./html.js";
import { MARKS } from "./words.js";

/** A limit to draw into a curve. */
interface Line {
  readonly value: number;
  readonly words: string;
}

/** One value a photo; what was not measured leaves a hole. */
interface Curve {
  readonly title: string;
  readonly unit: string;
  /** What it tells, for those who do not see it. */
  readonly words: string;
  readonly values: readonly (number | undefined)[];
  readonly lines: readonly Line[];
}

/** Sharpness, exposure and overlap over capture order, and brightness by direction. */
export function curvesSection(report: Report): Html {
  const { facts } = report;
  const order =
    facts.orderedBy === "capture time"
      ? "In the order the photos were taken"
      : "In the order of the photos' names";
  return html`<section class="curves" aria-labelledby="curves">
<h2 id="curves">From photo to photo</h2>
<p class="aside">${order}. Dashed lines are limits. Tap a point to see its photo.</p>
${curvesOf(report).map((curve) => curveFigure(curve, report))}
${directionFigure(report)}
</section>`;
}

function curvesOf({ facts, judgement }: Report): readonly Curve[] {
  const { photos, pairs } = facts;
  const limit = (check: string, name: string) => judgement.limits[check]?.[name]?.value;
  const lines = (...wanted: readonly (readonly [number | undefined, string])[]): Line[] =>
    wanted.flatMap(([value, words]) => (value === undefined ? [] : [{ value, words }]));
  const step = limit("exposure-step", "step");
  const overlaps = new Map(pairs.map(({ a, b, overlapRatio }) => [`${a}\n${b}`, overlapRatio]));
  const next = (photo: PhotoFacts, k: number) => overlaps.get(`${photo.file}\n${photos[k + 1]?.file}`);
  return [
    {
      title: "Blur: width of the sharpest edges where they are widest",
      unit: "px of 1920",
      words: "higher is more blurred",
      values: photos.map(({ edgeWidthsPx }) => {
        const known = (edgeWidthsPx ?? []).filter((width) => width !== null);
        return known.length === 0 ? undefined : Math.max(...known);
      }),
      lines: lines([limit("soft-photo", "edge"), "blurred above"]),
    },
    {
      title: "Exposure: brightness of the same surface against the set",
      unit: "stops",
      words: "higher is brighter",
      values: photos.map(({ measures }) => measures.exposureOffsetStops?.value),
      lines: lines([step, "too bright above"], [step === undefined ? undefined : -step, "too dark below"]),
    },
    {
      title: "Overlap: how much of the picture the next photo shows again",
      unit: "%",
      words: "lower is a wider step",
      values: photos.map((photo, k) => {
        const ratio = next(photo, k);
        return ratio === undefined ? undefined : 100 * ratio;
      }),
      lines: [],
    },
  ];
}

const WIDE = 960;
const NARROW = 344;
const HEIGHT = 150;
const LEFT = 44;
const RIGHT = 10;
const TOP = 12;
const BOTTOM = 22;

function curveFigure(curve: Curve, report: Report): Html {
  const known = curve.values.filter((value) => value !== undefined);
  if (known.length === 0)
    return html`<figure class="curve"><figcaption>${curve.title}</figcaption><p class="aside">Not measured.</p></figure>`;
  const scale = scaleOf([...known, ...curve.lines.map(({ value }) => value)]);
  return html`<figure class="curve"><figcaption>${curve.title}, ${curve.unit}</figcaption>${[WIDE, NARROW].map((width) => curveDrawing(curve, report, scale, width))}</figure>`;
}

/** Where a value lies, 0 (bottom) to 1, and the values to name at the side. */
interface Scale {
  at(value: number): number;
  readonly ticks: readonly number[];
}

/** Covers all values, with ticks at round numbers. */
function scaleOf(values: readonly number[]): Scale {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const range = Math.max(most - least, 1e-6);
  const power = 10 ** Math.floor(Math.log10(range / 2));
  const step = [1, 2, 5, 10].map((k) => k * power).find((one) => range / one <= 4) ?? 10 * power;
  const [from, to] = [Math.floor(least / step) * step, Math.ceil(most / step) * step];
  const ticks = Array.from({ length: Math.round((to - from) / step) + 1 }, (_, k) => from + k * step);
  return { at: (value) => (value - from) / (to - from || 1), ticks };
}

function curveDrawing(
  { title, unit, words, values, lines }: Curve,
  report: Report,
  scale: Scale,
  width: number,
): Html {
  const { facts, judgement } = report;
  const x = (place: number) => LEFT + ((width - LEFT - RIGHT) * (place + 0.5)) / values.length;
  const y = (value: number) => TOP + (HEIGHT - TOP - BOTTOM) * (1 - scale.at(value));
  const label = `${title}, ${unit}, of ${values.length} photos; ${words}. Each photo's own figures are told where it opens.`;
  const every = Math.max(1, Math.ceil(values.length / (width === WIDE ? 20 : 7) / 5) * 5);
  return html`<svg class="${width === WIDE ? "wide" : "narrow"}" viewBox="0 0 ${width} ${HEIGHT}" role="img" aria-label="${label}">
${sideTicks(scale, y, width)}
${lines.map(({ value, words }) => html`<path class="limit" d="M${LEFT} ${fixed(y(value))}H${width - RIGHT}"/><text class="limit-words" x="${width - RIGHT - 2}" y="${fixed(y(value) - 4)}">${words} ${plainNumber(value)}</text>`)}
${values.map((_, place) => (place === 0 || (place + 1) % every === 0) && html`<text class="hour" x="${fixed(x(place))}" y="${HEIGHT - 5}">${place + 1}</text>`)}
<path class="line" d="${lineThrough(values.map((value, place) => (value === undefined ? undefined : [x(place), y(value)])))}"/>
${values.map((value, place) => {
  const { file } = facts.photos[place]!;
  const mark = MARKS[judgement.photoVerdicts.get(file) ?? "pass"];
  return value === undefined
    ? html`<text class="hole" x="${fixed(x(place))}" y="${HEIGHT - BOTTOM}">?</text>`
    : point(place, mark, x(place), y(value), `${file}: ${plainNumber(value)} ${unit}`);
})}
</svg>`;
}

function sideTicks({ ticks }: Scale, y: (value: number) => number, width: number): Html[] {
  return ticks.map(
    (tick) =>
      html`<path class="guide" d="M${LEFT} ${fixed(y(tick))}H${width - RIGHT}"/><text class="band" x="${LEFT - 6}" y="${fixed(y(tick) + 4)}">${plainNumber(tick)}</text>`,
  );
}

function point(place: number, mark: string, x: number, y: number, words: string): Html {
  const shape =
    mark === "out"
      ? html`<path d="M${fixed(x - 5)} ${fixed(y - 5)}l10 10m0-10l-10 10"/>`
      : mark === "edit"
        ? html`<path d="M${fixed(x)} ${fixed(y - 6)}l6 6-6 6-6-6z"/>`
        : html`<circle cx="${fixed(x)}" cy="${fixed(y)}" r="${mark === "again" ? 6 : 3}"/>`;
  return html`<g class="point ${mark}" data-photo="${place}"><title>${words}</title><circle class="hit" cx="${fixed(x)}" cy="${fixed(y)}" r="11"/>${shape}</g>`;
}

/** Straight from point to point, broken where one is missing. */
function lineThrough(points: readonly (readonly number[] | undefined)[]): string {
  return points
    .map((own, k) =>
      own === undefined ? "" : `${points[k - 1] === undefined ? "M" : "L"}${own.map(fixed).join(" ")}`,
    )
    .join("");
}

function fixed(value: number): string {
  return value.toFixed(1);
}

// ---------------------------------------------------------------- by direction

/** How bright the subject looks from each side, each photo a point, the middle values of the directions as steps. */
function directionFigure({ facts, judgement }: Report): Html {
  const title = "Brightness of the subject by direction";
  const { light, photos } = facts;
  const falloff = light?.falloff;
  const cameras = new Map(
    (judgement.around.placed[0]?.cameras ?? []).map(({ file, azimuthDeg }) => [file, azimuthDeg]),
  );
  const places = new Map(photos.map(({ file }, place) => [file, place]));
  const points = (light?.photos ?? []).flatMap(({ file, subjectStops }) => {
    const azimuthDeg = cameras.get(file);
    return subjectStops === undefined || azimuthDeg === undefined ? [] : [{ file, azimuthDeg, subjectStops }];
  });
  if (falloff === undefined || points.length === 0)
    return html`<figure class="curve"><figcaption>${title}</figcaption><p class="aside">Not measured.</p></figure>`;
  const top = Math.max(...falloff.binStops.filter((stops) => stops !== null));
  const scale = scaleOf([...points.map(({ subjectStops }) => subjectStops - top), 0]);
  const drawing = (width: number) => {
    const x = (azimuthDeg: number) => LEFT + ((width - LEFT - RIGHT) * azimuthDeg) / 360;
    const y = (stops: number) => TOP + (HEIGHT - TOP - BOTTOM) * (1 - scale.at(stops));
    return html`<svg class="${width === WIDE ? "wide" : "narrow"}" viewBox="0 0 ${width} ${HEIGHT}" role="img" aria-label="${title}: the darkest of twelve directions lies ${plainNumber(falloff.falloffStops)} stops under the brightest.">
${sideTicks(scale, y, width)}
${HOURS.map((hour, k) => (width === WIDE || k % 3 === 0) && html`<text class="hour" x="${fixed(x(30 * k))}" y="${HEIGHT - 5}">${hour}</text>`)}
<path class="line bins" d="${falloff.binStops.map((stops, k) => (stops === null ? "" : `M${fixed(x(30 * k))} ${fixed(y(stops - top))}H${fixed(x(30 * (k + 1)))}`)).join("")}"/>
${points.map(({ file, azimuthDeg, subjectStops }) => {
  const mark = MARKS[judgement.photoVerdicts.get(file) ?? "pass"];
  return point(
    places.get(file) ?? 0,
    mark,
    x(azimuthDeg),
    y(subjectStops - top),
    `${file}: ${plainNumber(subjectStops - top)} stops`,
  );
})}
</svg>`;
  };
  return html`<figure class="curve"><figcaption>${title}, stops under the brightest, by the clock seen from above</figcaption>${[WIDE, NARROW].map(drawing)}</figure>`;
}
