/** Movements of the camera while the shutter was open, as the pixels that the light is spread over. */
import { type KernelTap, motionTaps } from "#goodgate/demo/faults.js";
import { createRandom, type Random } from "#goodgate/demo/random.js";

export type ShakeKind = "straight" | "by hand" | "doubled";

export interface Shake {
  readonly kind: ShakeKind;
  /** From one end of the path to the other, or between the two places where they are furthest apart, px at 1920. */
  readonly lengthPx: number;
  /** Clockwise from along x; of a path by hand the way it begins. */
  readonly directionDeg: number;
}

export const LENGTHS_PX = [3, 4, 5, 6, 7, 8] as const;

/** How often each length comes: in eight directions straight, in four each of the others. */
const DIRECTIONS: readonly (readonly [kind: ShakeKind, count: number])[] = [
  ["straight", 8],
  ["by hand", 4],
  ["doubled", 4],
];

/** All shakes that are put into one set of photos, in an order that mixes them. */
export function allShakes(random: Random): Shake[] {
  const shakes = LENGTHS_PX.flatMap((lengthPx) =>
    DIRECTIONS.flatMap(([kind, count]) =>
      Array.from({ length: count }, (_, k): Shake => ({ kind, lengthPx, directionDeg: (180 * k) / count })),
    ),
  );
  for (let i = shakes.length - 1; i > 0; i--) {
    const j = random.below(i + 1);
    [shakes[i], shakes[j]] = [shakes[j]!, shakes[i]!];
  }
  return shakes;
}

type Point = readonly [x: number, y: number];

/** @param scale px of the picture that one px at 1920 is */
export function tapsOf({ kind, lengthPx, directionDeg }: Shake, scale: number, seed: number): KernelTap[] {
  const length = lengthPx * scale;
  if (kind === "straight") return motionTaps(length, directionDeg);
  const angle = (directionDeg * Math.PI) / 180;
  const way: Point = [Math.cos(angle), Math.sin(angle)];
  if (kind === "by hand") return pathTaps(walkedPath(length, way, createRandom(seed, 91)));
  return pathTaps([-0.5, 0.5].map((at) => [at * length * way[0], at * length * way[1]]));
}

/** Steps of a walk: enough that none is longer than a pixel. */
const STEPS = 128;
/** What a hand keeps of its speed from one step to the next: the path bends a few times. */
const KEPT = 0.97;

/** A curved path: the hand's speed walks at random about a drift in one direction. */
function walkedPath(length: number, way: Point, random: Random): Point[] {
  let [speedX, speedY] = [0, 0];
  let [x, y] = [0, 0];
  const points = Array.from({ length: STEPS }, (): Point => {
    speedX = KEPT * speedX + 0.5 * random.normal();
    speedY = KEPT * speedY + 0.5 * random.normal();
    x += speedX + way[0];
    y += speedY + way[1];
    return [x, y];
  });
  const widest = Math.max(
    ...points.flatMap(([ax, ay]) => points.map(([bx, by]) => Math.hypot(ax - bx, ay - by))),
  );
  const middle: Point = [0, 1].map(
    (axis) => points.reduce((sum, point) => sum + point[axis]!, 0) / STEPS,
  ) as never;
  return points.map(([px, py]) => [
    ((px - middle[0]) * length) / widest,
    ((py - middle[1]) * length) / widest,
  ]);
}

/** Light spread evenly over some places, each shared out among the four pixels around it. */
function pathTaps(points: readonly Point[]): KernelTap[] {
  const weights = new Map<string, KernelTap>();
  for (const [px, py] of points) {
    const [x, y] = [Math.floor(px), Math.floor(py)];
    for (const [dx, dy] of [
      [0, 0],
      [1, 0],
      [0, 1],
      [1, 1],
    ] as const) {
      const share = (1 - Math.abs(px - x - dx)) * (1 - Math.abs(py - y - dy));
      const key = `${x + dx} ${y + dy}`;
      const weight = (weights.get(key)?.weight ?? 0) + share / points.length;
      if (weight > 0) weights.set(key, { x: x + dx, y: y + dy, weight });
    }
  }
  return [...weights.values()];
}
