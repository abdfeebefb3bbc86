/** CPU time of the geometry after matching, and of choosing pairs. */
import { measureAround } from "#goodgate/measure/coverage/around.js";
import { voteForPairs } from "#goodgate/measure/pairing/select-pairs.js";
import { pairPose } from "#goodgate/measure/poses/solved-set.js";
import { randomSource, ring } from "../measure/poses/synthetic.js";
import { shuffled, synthesise } from "../measure/poses/whole-set.js";
import type { Row, Section } from "./table.js";

function cpuSeconds(work: () => unknown): number {
  const start = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1e6;
}

/** Geometry of 70 photos: the pairs' poses run on the threads of the pool, the rest once they are all in. */
function geometryRows(): Row[] {
  const random = randomSource(5);
  const heights = [
    { elevationDeg: 10, photos: 26 },
    { elevationDeg: 32, photos: 24 },
    { elevationDeg: 55, photos: 20 },
  ];
  const cameras = heights.flatMap((one) => ring({ ...one, portraitRatio: 0.2 }, random));
  const { photos, pairs } = synthesise(shuffled(cameras, random), 3);
  let posed = pairs;
  const poses = cpuSeconds(() => {
    posed = pairs.map((pair) => {
      const pose = pairPose(photos[pair.i], photos[pair.j], pair.inliers, 1);
      return pose ? { ...pair, pose } : pair;
    });
  });
  const times = [0, 1, 2].map(() => cpuSeconds(() => measureAround(photos, posed)));
  return [
    {
      what: `poses of ${pairs.length} pairs of 70 photos, on all threads together`,
      measured: [poses],
    },
    { what: "all else of the geometry of 70 photos, first run", measured: [times[0]], bar: [0.8] },
    { what: "the same, third run", measured: [times[2]] },
  ];
}

/** Photos along a ring, each with words of its own place; a word is seen in ten photos, with flipped bits. */
function wordsOfPhotos(photos: number) {
  const random = randomSource(9);
  const word = () => (random() * 2 ** 32) >>> 0;
  const each = 600;
  const vocabulary = new Uint32Array((photos * each * 8) / 10).map(word);
  return Array.from({ length: photos }, (_, p) => {
    const descriptors = new Uint32Array(8 * each);
    for (let k = 0; k < each; k++) {
      const from = (p * (each / 10) + k) % (vocabulary.length / 8);
      descriptors.set(vocabulary.subarray(8 * from, 8 * from + 8), 8 * k);
      for (let flip = 0; flip < 25; flip++)
        descriptors[8 * k + Math.floor(8 * random())] ^= 1 << Math.floor(32 * random());
    }
    return { count: each, scale: new Float32Array(each).fill(2), descriptors };
  });
}

function voteRows(): Row[] {
  const sizes = [250, 500, 1000, 2000];
  const figures = sizes.map((photos) => {
    const words = wordsOfPhotos(photos);
    let pairs = 0;
    const seconds = cpuSeconds(() => {
      pairs = voteForPairs(words).length;
    });
    return { photos, seconds, perPhoto: (1000 * seconds) / photos, pairs: pairs / photos };
  });
  const [first, last] = [figures[0], figures[figures.length - 1]];
  return [
    ...figures.map(({ photos, seconds, perPhoto, pairs }) => ({
      what: `choosing pairs of ${photos} photos: s, ms a photo, pairs a photo`,
      measured: [seconds, perPhoto, pairs],
    })),
    {
      what: "time a photo at 2000 photos over that at 250",
      measured: [last.perPhoto / first.perPhoto],
      bar: [2],
    },
  ];
}

export function speed(): Section {
  return {
    title: "Speed",
    about: "CPU seconds of one thread.",
    rows: [...geometryRows(), ...voteRows()],
  };
}
