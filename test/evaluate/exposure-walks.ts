/** Rendered walks in linear light, drawn once and kept, for patterns of exposure and colour to be laid over. */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { type LinearImage, scaleChannels } from "#goodgate/demo/faults.js";
import {
  cleanDemo,
  encodePhoto,
  handHeld,
  type PhotoPlan,
  planSet,
  renderLinear,
  type SetOptions,
  type SetPlan,
  spoil,
} from "#goodgate/demo/index.js";
import type { Change, Told, Walk } from "./exposure-cases.js";

export interface DrawnWalk extends Walk {
  readonly name: string;
  readonly plan: SetPlan;
  /** Photo `i` in linear light as the lens sees it. */
  image(i: number): LinearImage;
}

const WALK: Walk = { perRing: 18, rings: 2 };

/** What the walks go round. */
export const WALKS: readonly {
  readonly name: string;
  readonly options: Partial<SetOptions>;
  readonly stops: number;
}[] = [
  { name: "jug", options: { seed: 3, subject: "jug", lamps: "three" }, stops: 0 },
  {
    name: "toad, two opposite lamps",
    options: { seed: 4, subject: "toad", lamps: "two opposite" },
    stops: 0,
  },
  // Four stops under white: what a dark prop comes to, and what haze and noise bend first.
  { name: "dark trunk", options: { seed: 5, subject: "trunk", lamps: "overcast" }, stops: -2 },
];

/** Light codes of 16 bits by the square root, white at 1/8 of the range: exposure may still go up by three stops. */
const MOST = 8;

/** A walk of two rings, drawn once and kept in `folder`. */
export function drawnWalk(index: number, folder: string): DrawnWalk {
  const { name, options, stops } = WALKS[index];
  const plan = planSet({
    ...cleanDemo,
    widthPx: 800,
    heightPx: 600,
    portraitShare: 0,
    jitter: { ...handHeld, softnessPx: 0 },
    rings: [12, 32].map((elevationDeg, ring) => ({
      elevationDeg,
      photos: WALK.perRing,
      startDeg: 7 * ring,
      spanDeg: 360,
    })),
    ...options,
  });
  mkdirSync(folder, { recursive: true });
  return {
    ...WALK,
    name,
    plan,
    image: (i) => {
      const path = join(folder, `${name.replaceAll(/\W+/g, "-")}-${i}.bin`);
      const { widthPx: width, heightPx: height } = plan.photos[i].camera;
      if (!existsSync(path)) {
        const { data } = renderLinear(plan, i).image;
        const codes = new Uint16Array(data.length);
        for (let k = 0; k < data.length; k++) {
          codes[k] = Math.min(65535, Math.round(65535 * Math.sqrt(Math.max(0, data[k]) / MOST)));
        }
        writeFileSync(path, codes);
      }
      const bytes = readFileSync(path);
      const codes = new Uint16Array(bytes.buffer, bytes.byteOffset, bytes.byteLength / 2);
      const gain = MOST * 2 ** stops;
      const data = new Float32Array(codes.length);
      for (let k = 0; k < codes.length; k++) data[k] = (gain * (codes[k] * codes[k])) / 65535 ** 2;
      return { width, height, data };
    },
  };
}

/** JPEG bytes of a photo after a change, with EXIF that tells of the exposure or does not. */
export async function takePhoto(walk: DrawnWalk, i: number, change: Change, told: Told): Promise<Uint8Array> {
  const photo: PhotoPlan = {
    ...walk.plan.photos[i],
    faults: [{ kind: "exposure", stops: change.stops, said: told === "said" }],
  };
  const gained = scaleChannels(walk.image(i), {
    red: change.stops + change.red,
    green: change.stops,
    blue: change.stops + change.blue,
  });
  const rgb = spoil(gained, [], { iso: 125, softnessPx: 0, exposureStops: 0, noiseSeed: photo.noiseSeed });
  return encodePhoto({ ...walk.plan.options, exif: told === "no EXIF" ? "none" : "full" }, photo, rgb);
}
