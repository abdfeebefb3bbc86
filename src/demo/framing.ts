import { type Camera, turnCamera } from "./camera.js";
import type { Fault } from "./options.js";
import { outlineOf } from "./outline.js";
import type { Mesh } from "./scene.js";
import { add, radians, scale, subtract, type Vector3 } from "./vector.js";

/** Halvings of the search: a frame's width in 65,536 parts. */
const halvings = 16;
/** Farthest that the aim goes off, degrees: the prop is out of any frame by then. */
const farthestAimDeg = 60;
/** Farthest that the photographer steps back, times the distance. */
const farthestStep = 8;

/** Where a rising function passes `wanted`, between `low` and `high`. */
function bisect(low: number, high: number, wanted: number, rising: (x: number) => number): number {
  let [a, b] = [low, high];
  for (let i = 0; i < halvings; i++) {
    const middle = (a + b) / 2;
    if (rising(middle) < wanted) a = middle;
    else b = middle;
  }
  return (a + b) / 2;
}

function aimedOff(camera: Camera, offDeg: number, directionDeg: number): Camera {
  // The prop leaves by the right edge when the phone turns to the left.
  const off = radians(offDeg);
  const right = directionDeg === 0 ? -off : directionDeg === 180 ? off : 0;
  const down = directionDeg === 90 ? -off : directionDeg === 270 ? off : 0;
  return { ...camera, rotation: turnCamera(camera.rotation, right, down, 0) };
}

function steppedBack(camera: Camera, middle: Vector3, times: number): Camera {
  return { ...camera, centre: add(middle, scale(subtract(camera.centre, middle), times)) };
}

/** The camera after its framing faults, by the size of the fault in the picture and not of the movement. */
export function misframe(camera: Camera, mesh: Mesh, middle: Vector3, faults: readonly Fault[]): Camera {
  let moved = camera;
  for (const fault of faults) {
    const from = moved;
    if (fault.kind === "cut") {
      const { areaRatio, directionDeg } = fault;
      const off = bisect(
        0,
        farthestAimDeg,
        areaRatio,
        (angle) => outlineOf(mesh, aimedOff(from, angle, directionDeg)).cutRatio,
      );
      moved = aimedOff(from, off, directionDeg);
    }
    if (fault.kind === "small") {
      const times = bisect(
        1,
        farthestStep,
        -fault.sideRatio,
        (step) => -outlineOf(mesh, steppedBack(from, middle, step)).sideRatio,
      );
      moved = steppedBack(from, middle, times);
    }
  }
  return moved;
}

/** Whether a fault moves the camera by what the picture shows. */
export const isFraming = (fault: Fault): boolean => fault.kind === "cut" || fault.kind === "small";
