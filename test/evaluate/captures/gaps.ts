import {
  addScaled,
  angleDegBetween,
  cross,
  dot,
  unit,
  type Vec3,
} from "#goodgate/measure/geometry/vector.js";
import type { Finding } from "#goodgate/types/judgement.js";
import type { Capture, Topic } from "./topic.js";

/** Checks that say that photos are missing between two others. */
const CLAIMS = ["gap", "open-ring", "wide-ring", "wide-step", "band-gap"];
const DEGREES = 180 / Math.PI;
/** Distance between the places on the way between two photos that are looked at, degrees. */
const STEP_DEG = 1;

/** Each claim that something between two photos is missing, and what is really there. */
export const claimedGaps: Topic = {
  title: "Holes claimed",
  about:
    "Findings about what lies between two photos: the width stated, and the widest true hole on the way from one to the other: " +
    "twice the angle from the emptiest direction to the photo nearest to it, over photos of all heights, degrees.",
  columns: ["check", "severity", "between", "stated", "true hole"],
  rows: (capture) =>
    capture.report.judgement.findings
      .filter(({ check, photos }) => CLAIMS.includes(check) && photos.length === 2)
      .map((finding) => [
        finding.check,
        finding.severity,
        finding.photos.join(" and "),
        statedDeg(finding) ?? "-",
        trueHoleDeg(capture, finding) ?? "not known",
      ]),
};

/** One line a capture. */
export const gaps: Topic = {
  title: "Holes",
  about:
    "Widest true hole of the way round, at the photos' own heights; findings of missing views (reshoot), and those among them that are none: a true hole under the finding's limit.",
  columns: ["widest true hole", "claimed", "that are none"],
  rows: (capture) => {
    const claimed = capture.report.judgement.findings.filter(
      ({ check, photos, severity }) =>
        CLAIMS.includes(check) && photos.length === 2 && severity === "reshoot",
    );
    const known = claimed.map((finding) => ({ finding, hole: trueHoleDeg(capture, finding) }));
    const wrong = known.filter(
      ({ finding, hole }) =>
        hole !== undefined && finding.limit?.unit === "degrees" && hole < finding.limit.value,
    );
    return [[widestHoleDeg(capture) ?? "not known", claimed.length, wrong.length]];
  },
};

function statedDeg({ measured }: Finding): number | undefined {
  return measured?.unit === "degrees" ? measured.value : undefined;
}

/** A direction around the axis that is up. */
export interface Place {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
}

export interface Frame {
  readonly ahead: Vec3;
  readonly side: Vec3;
  readonly up: Vec3;
}

export function frameOf(up: Vec3): Frame {
  const [x, y, z] = up.map(Math.abs);
  const ahead = unit(cross(up, x <= y && x <= z ? [1, 0, 0] : y <= z ? [0, 1, 0] : [0, 0, 1]));
  return { ahead, side: cross(up, ahead), up };
}

export function placeOf({ ahead, side, up }: Frame, v: Vec3): Place {
  const azimuthDeg = Math.atan2(dot(v, side), dot(v, ahead)) * DEGREES;
  return { azimuthDeg, elevationDeg: Math.asin(Math.max(-1, Math.min(1, dot(v, up)))) * DEGREES };
}

function directionAt({ ahead, side, up }: Frame, { azimuthDeg, elevationDeg }: Place): Vec3 {
  const [a, e] = [azimuthDeg / DEGREES, elevationDeg / DEGREES];
  const level = addScaled(
    ahead.map((c) => c * Math.cos(a)),
    side,
    Math.sin(a),
  );
  return addScaled(
    level.map((c) => c * Math.cos(e)),
    up,
    Math.sin(e),
  );
}

/** The widest hole on the way around `up` between a finding's two photos, whichever way round is nearer to what it states. */
function trueHoleDeg({ truth }: Capture, finding: Finding): number | undefined {
  const [a, b] = finding.photos.map((file) => truth.directions.get(file));
  if (truth.up === undefined || a === undefined || b === undefined) return undefined;
  const frame = frameOf(truth.up);
  const [from, to] = [placeOf(frame, a), placeOf(frame, b)];
  const width = (((to.azimuthDeg - from.azimuthDeg) % 360) + 360) % 360;
  const stated = statedDeg(finding) ?? 0;
  const holes = [
    { widthDeg: width, hole: holeAlong(truth.directions, frame, from, to, width) },
    { widthDeg: 360 - width, hole: holeAlong(truth.directions, frame, from, to, width - 360) },
  ];
  holes.sort((p, q) => Math.abs(p.widthDeg - stated) - Math.abs(q.widthDeg - stated));
  return holes[0].hole;
}

function holeAlong(
  directions: ReadonlyMap<string, Vec3>,
  frame: Frame,
  from: Place,
  to: Place,
  widthDeg: number,
): number {
  const steps = Math.max(2, Math.ceil(Math.abs(widthDeg) / STEP_DEG));
  let widest = 0;
  for (let k = 0; k <= steps; k++) {
    const share = k / steps;
    const direction = directionAt(frame, {
      azimuthDeg: from.azimuthDeg + share * widthDeg,
      elevationDeg: from.elevationDeg + share * (to.elevationDeg - from.elevationDeg),
    });
    widest = Math.max(widest, 2 * nearestDeg(directions, direction));
  }
  return widest;
}

function nearestDeg(directions: ReadonlyMap<string, Vec3>, direction: Vec3): number {
  let nearest = 180;
  for (const own of directions.values()) nearest = Math.min(nearest, angleDegBetween(own, direction));
  return nearest;
}

/** From photo to photo by azimuth, all the way round; photos near the pole have no azimuth to speak of. */
function widestHoleDeg({ truth }: Capture): number | undefined {
  if (truth.up === undefined || truth.directions.size === 0) return undefined;
  const frame = frameOf(truth.up);
  const places = [...truth.directions.values()]
    .map((v) => placeOf(frame, v))
    .filter(({ elevationDeg }) => Math.abs(elevationDeg) < 65)
    .sort((p, q) => p.azimuthDeg - q.azimuthDeg);
  const holes = places.map((from, k) => {
    const to = places[(k + 1) % places.length];
    const width = (((to.azimuthDeg - from.azimuthDeg) % 360) + 360) % 360;
    return holeAlong(truth.directions, frame, from, to, width);
  });
  return Math.max(...holes);
}
