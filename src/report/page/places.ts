import type { AroundCamera, AroundPart, AroundStep, BandName } from "../../types/around.js";
import type { Finding } from "../../types/judgement.js";
import type { Report } from "../../types/report.js";
import { HOURS } from "../around.js";
import { captureOrder, photoList } from "../photo-list.js";
import { count } from "../wording.js";
import { type Html, html } from "./html.js";
import { MARKS } from "./words.js";

/** More parts than this are not drawn: the list says that the set falls apart. */
const MOST_PARTS = 3;

/** Where the camera stood around the subject: from above, and unrolled as direction by height. */
export function placesSection(report: Report): Html {
  const { placed } = report.judgement.around;
  const parts = placed.slice(0, MOST_PARTS);
  return html`<section class="around" aria-labelledby="around">
<h2 id="around">Where you stood</h2>
${
  parts.length === 0
    ? html`<p>Where the photos were taken from could not be told surely enough to draw it.</p>`
    : html`<p class="aside">Directions as on a clock seen from above: the first photo stands at 6. Tap a place to see its photo. <label class="switch"><input type="checkbox" id="links"> join photos that share surface</label></p>`
}
${parts.map((part, k) => partFigures(part, k, report, parts.length > 1))}
${parts.length > 0 && LEGEND}
${unplaced(report)}
</section>`;
}

function partFigures(part: AroundPart, number: number, report: Report, several: boolean): Html {
  const drawing = drawingOf(part, report);
  const photos = count(part.photos.length, "photo");
  const which = several ? `Group ${number + 1}, ${photos}. ` : "";
  const said = drawing.gaps.map(({ finding }) => finding.message).join(" ");
  return html`<div class="plans">
<figure><figcaption>${which}From above</figcaption>${fromAbove(drawing, `${photos} around the subject, seen from above. ${said}`)}</figure>
<figure><figcaption>${which}Unrolled: direction by height</figcaption>${unrolled(drawing, `The same places by direction and height. ${said}`)}</figure>
</div>${drawing.gaps.length > 0 && html`<ul class="gaps">${drawing.gaps.map(({ finding }) => html`<li><b>${finding.message}</b> ${finding.advice}</li>`)}</ul>`}`;
}

// ---------------------------------------------------------------- what is drawn

interface Spot extends AroundCamera {
  /** The photo's place in capture order. */
  readonly place: number;
  readonly mark: string;
}

interface Gap {
  readonly finding: Finding;
  readonly fromDeg: number;
  readonly widthDeg: number;
  readonly elevationDeg: number;
}

interface Drawing {
  readonly spots: readonly Spot[];
  readonly gaps: readonly Gap[];
  /** Pairs of spots that share surface. */
  readonly links: readonly (readonly [Spot, Spot])[];
}

function drawingOf(part: AroundPart, { facts, judgement }: Report): Drawing {
  const order = captureOrder(facts.photos);
  const spots = part.cameras.map((camera) => ({
    ...camera,
    place: order.get(camera.file) ?? 0,
    mark: MARKS[judgement.photoVerdicts.get(camera.file) ?? "pass"],
  }));
  const byFile = new Map(spots.map((spot) => [spot.file, spot]));
  const steps = part.bands.flatMap((band) => band.steps);
  const gaps = judgement.findings.flatMap((finding) => {
    const step =
      finding.check === "gap" || finding.check === "open-ring" ? stepOf(finding, steps) : undefined;
    const [from, to] = [byFile.get(step?.fromPhoto ?? ""), byFile.get(step?.toPhoto ?? "")];
    if (step === undefined || from === undefined || to === undefined) return [];
    const elevationDeg = (from.elevationDeg + to.elevationDeg) / 2;
    return [{ finding, fromDeg: from.azimuthDeg, widthDeg: step.widthDeg, elevationDeg }];
  });
  const links = facts.pairs.flatMap(({ a, b, verifiedMatches }) => {
    const [one, other] = [byFile.get(a), byFile.get(b)];
    return one && other && verifiedMatches > 0 ? [[one, other] as const] : [];
  });
  return { spots, gaps, links };
}

function stepOf({ photos }: Finding, steps: readonly AroundStep[]): AroundStep | undefined {
  return steps.find(({ fromPhoto, toPhoto }) => photos.includes(fromPhoto) && photos.includes(toPhoto));
}

/** Directions of the photos that a gap asks for, in even steps. */
function missing({ finding, fromDeg, widthDeg }: Gap): number[] {
  const shots = finding.toAdd ?? 0;
  return Array.from({ length: shots }, (_, k) => fromDeg + (widthDeg * (k + 1)) / (shots + 1));
}

/** From this on, twice the standard error of a direction is drawn, degrees: less is hidden by the mark itself. */
const DRAWN_DEG = 2;

/** The mark of a place, pointing up; a wide transparent edge makes it easy to hit. */
const SHAPES: Readonly<Record<string, string>> = {
  good: "M0-6L5 5-5 5Z",
  again: "M-6 0A6 6 0 1 1 6 0 6 6 0 1 1-6 0",
  out: "M-5-5L5 5M5-5L-5 5",
  edit: "M0-6L6 0 0 6-6 0Z",
};

function spotMark({ place, mark, file }: Spot, x: number, y: number, turnDeg: number): Html {
  return html`<g class="spot ${mark}" data-photo="${place}" transform="translate(${fixed(x)} ${fixed(y)})"><title>${file}</title><circle class="hit" r="12"/><path d="${SHAPES[mark]!}" transform="rotate(${Math.round(turnDeg)})"/></g>`;
}

function fixed(value: number): string {
  return value.toFixed(1);
}

// ---------------------------------------------------------------- from above

const SIZE = 400;
const MIDDLE = SIZE / 2;
const LEVEL_RADIUS = 146;
const CLOCK_RADIUS = 184;

/** The higher, the nearer to the middle: as seen from above, stretched so that low rings lie apart. */
function radiusOf(elevationDeg: number): number {
  return LEVEL_RADIUS * (1 - Math.max(-15, elevationDeg) / 105);
}

/** Azimuth 0 is at 6 o'clock, below; growing, it goes as the hands do. */
function at(azimuthDeg: number, radius: number): [x: number, y: number] {
  const angle = (azimuthDeg * Math.PI) / 180;
  return [MIDDLE - radius * Math.sin(angle), MIDDLE + radius * Math.cos(angle)];
}

function arc(fromDeg: number, widthDeg: number, radius: number): string {
  const [x1, y1] = at(fromDeg, radius);
  const [x2, y2] = at(fromDeg + widthDeg, radius);
  return `M${fixed(x1)} ${fixed(y1)}A${fixed(radius)} ${fixed(radius)} 0 ${widthDeg > 180 ? 1 : 0} 1 ${fixed(x2)} ${fixed(y2)}`;
}

function fromAbove({ spots, gaps, links }: Drawing, label: string): Html {
  return html`<svg class="plan" viewBox="0 0 ${SIZE} ${SIZE}" role="img" aria-label="${label}">
${[0, 15, 40, 65].map((elevation) => html`<circle class="guide" cx="${MIDDLE}" cy="${MIDDLE}" r="${fixed(radiusOf(elevation))}"/>`)}
${HOURS.map((hour, k) => {
  const [x, y] = at(30 * k, CLOCK_RADIUS);
  return html`<text class="hour" x="${fixed(x)}" y="${fixed(y + 5)}">${hour}</text>`;
})}
<path class="prop" d="M190 186C190 192 182 196 182 206 182 216 190 220 200 220 210 220 218 216 218 206 218 196 210 192 210 186ZM187 184H213"/>
<path class="links" d="${links
    .map(([one, other]) => {
      const [a, b] = [one, other].map((spot) =>
        at(spot.azimuthDeg, radiusOf(spot.elevationDeg)).map(fixed).join(" "),
      );
      return `M${a}L${b}`;
    })
    .join("")}"/>
${spots.map(({ azimuthDeg, elevationDeg, uncertaintyDeg }) => {
  const reach = 2 * uncertaintyDeg;
  return (
    reach >= DRAWN_DEG &&
    html`<path class="unsure" d="${arc(azimuthDeg - reach, Math.min(359, 2 * reach), radiusOf(elevationDeg))}"/>`
  );
})}
${gaps.map((gap) => {
  const radius = radiusOf(gap.elevationDeg);
  const [x, y] = at(gap.fromDeg + gap.widthDeg / 2, radius + (radius > 120 ? -26 : 26));
  return html`<path class="gap" d="${arc(gap.fromDeg, gap.widthDeg, radius)}"/>${missing(gap).map(
    (azimuth) => {
      const [cx, cy] = at(azimuth, radius);
      return html`<circle class="add" cx="${fixed(cx)}" cy="${fixed(cy)}" r="6"/>`;
    },
  )}<text class="gap-words" x="${fixed(x)}" y="${fixed(y + 5)}">${gapWords(gap)}</text>`;
})}
${spots.map((spot) => {
  const [x, y] = at(spot.azimuthDeg, radiusOf(spot.elevationDeg));
  return spotMark(spot, x, y, spot.mark === "good" ? spot.azimuthDeg : 0);
})}
</svg>`;
}

/** "+2", or the width where no number of photos is known. */
function gapWords({ finding, widthDeg }: Gap): string {
  return finding.toAdd === undefined ? `${Math.round(widthDeg)}°` : `+${finding.toAdd}`;
}

// ---------------------------------------------------------------- unrolled

/** Units are pixels on the narrowest screens. */
const WIDTH = 344;
const TOP = 14;
const LEFT = 62;
const RIGHT = 14;
const PER_DEGREE = 2.1;

const BANDS: readonly (readonly [name: BandName, fromDeg: number, toDeg: number, words: string])[] = [
  ["overhead", 65, 90, "overhead"],
  ["high", 40, 65, "high"],
  ["middle", 15, 40, "middle"],
  ["low", -30, 15, "low"],
  ["below", -90, -30, "below"],
];

function unrolled({ spots, gaps }: Drawing, label: string): Html {
  const elevations = spots.map(({ elevationDeg }) => elevationDeg);
  const [least, most] = [Math.min(-6, ...elevations) - 6, Math.max(52, ...elevations) + 8];
  const x = (azimuthDeg: number) => LEFT + ((WIDTH - LEFT - RIGHT) * azimuthDeg) / 360;
  const y = (elevationDeg: number) => TOP + PER_DEGREE * (most - elevationDeg);
  const bottom = y(least);
  const bands = BANDS.filter(([, from, to]) => to > least && from < most);
  return html`<svg class="plan" viewBox="0 0 ${WIDTH} ${fixed(bottom + 26)}" role="img" aria-label="${label}">
${bands.map(([, from, to, words]) => {
  const [high, low] = [y(Math.min(most, to)), y(Math.max(least, from))];
  return html`<path class="guide" d="M${LEFT} ${fixed(low)}H${WIDTH - RIGHT}"/><text class="band" x="${LEFT - 8}" y="${fixed((high + low) / 2 + 4)}">${words}</text>`;
})}
${HOURS.map((hour, k) => k % 3 === 0 && html`<text class="hour" x="${fixed(x(30 * k))}" y="${fixed(bottom + 20)}">${hour}</text>`)}
${spots.map(({ azimuthDeg, elevationDeg, uncertaintyDeg }) => {
  const reach = 2 * uncertaintyDeg;
  return (
    reach >= DRAWN_DEG &&
    html`<path class="unsure" d="M${fixed(Math.max(LEFT, x(azimuthDeg - reach)))} ${fixed(y(elevationDeg))}H${fixed(Math.min(WIDTH - RIGHT, x(azimuthDeg + reach)))}"/>`
  );
})}
${gaps.map((gap) => {
  const [height, to] = [fixed(y(gap.elevationDeg)), gap.fromDeg + gap.widthDeg];
  // What goes on over the edge comes in again at the other.
  const pieces =
    to > 360
      ? [
          [gap.fromDeg, 360],
          [0, to - 360],
        ]
      : [[gap.fromDeg, to]];
  const longest = pieces.reduce((a, b) => (b[1]! - b[0]! > a[1]! - a[0]! ? b : a));
  return html`${pieces.map(([from, end]) => html`<path class="gap" d="M${fixed(x(from!))} ${height}H${fixed(x(end!))}"/>`)}${missing(gap).map((azimuth) => html`<circle class="add" cx="${fixed(x(azimuth % 360))}" cy="${height}" r="6"/>`)}<text class="gap-words" x="${fixed(x((longest[0]! + longest[1]!) / 2))}" y="${fixed(y(gap.elevationDeg) - 14)}">${gapWords(gap)}</text>`;
})}
${spots.map((spot) => spotMark(spot, x(spot.azimuthDeg), y(spot.elevationDeg), 0))}
</svg>`;
}

// ---------------------------------------------------------------- words

const LEGEND = html`<ul class="legend">${(
  [
    ["good", "good"],
    ["again", "take again"],
    ["out", "move out"],
    ["edit", "edit"],
  ] as const
).map(
  ([mark, words]) =>
    html`<li><svg viewBox="-10 -10 20 20" aria-hidden="true"><g class="spot ${mark}"><path d="${SHAPES[mark]!}"/></g></svg>${words}</li>`,
)}<li><svg viewBox="-10 -10 20 20" aria-hidden="true"><circle class="add" r="6"/></svg>a photo to add</li><li><svg viewBox="-18 -10 36 20" class="long" aria-hidden="true"><path class="gap" d="M-16 0H16"/></svg>a gap</li><li><svg viewBox="-18 -10 36 20" class="long" aria-hidden="true"><path class="unsure" d="M-16 0H16"/></svg>how far off a place may be</li></ul>`;

/** Photos that no part drawn holds a place of. */
function unplaced({ facts, judgement }: Report): Html | undefined {
  const known = new Set(
    judgement.around.placed.slice(0, MOST_PARTS).flatMap(({ cameras }) => cameras.map(({ file }) => file)),
  );
  const others = facts.photos.map(({ file }) => file).filter((file) => !known.has(file));
  if (others.length === 0 || known.size === 0) return undefined;
  const names = photoList(others, captureOrder(facts.photos));
  return html`<p class="aside">Not drawn, since it is not known from where ${others.length === 1 ? "it was" : "they were"} taken: ${names}.</p>`;
}
