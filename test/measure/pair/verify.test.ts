import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { evidenceAgainstChance, log10Choose } from "#goodgate/measure/pair/chance.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import { LINK_EVIDENCE, verifyMatches } from "#goodgate/measure/pair/verify.js";
import type { Features } from "#goodgate/types/photo.js";
import { dataPath, describeWithData } from "../../support/data.js";
import { workingPicture } from "../../support/working.js";
import { GRAF_1_TO_3 } from "./overlap-cases.js";
import { type MadePair, madePair, sideStep, tilted } from "./surfaces.js";

function outcome({ a, b, matches, right }: MadePair) {
  const found = verifyMatches(a, b, matches, 1);
  let kept = 0;
  for (let k = 0; k < found.inliers.length; k += 2) if (found.inliers[k] < right) kept++;
  return { ...found, kept, wrong: found.inliers.length / 2 - kept };
}

describe("evidence against chance", () => {
  it("by hand: ways to choose", () => {
    expect(log10Choose(5, 2)).toBeCloseTo(1, 12);
    expect(log10Choose(10, 0)).toBe(0);
    expect(log10Choose(52, 5)).toBeCloseTo(Math.log10(2598960), 12);
  });

  it("by hand: 10 matches, 6 within, 4 fix a model, chance 1 %", () => {
    // 1 * (10 - 4) * C(10, 6) * C(6, 4) * .01^2 = 6 * 210 * 15 * 1e-4 = 1.89
    expect(evidenceAgainstChance(10, 6, 4, 1, 0.01)).toBeCloseTo(-Math.log10(1.89), 12);
  });

  it("is 0 for no more inliers than a sample, and grows with each inlier beyond the least", () => {
    expect(evidenceAgainstChance(100, 7, 7, 3, 0.01)).toBe(0);
    const rising = [20, 25, 30, 40].map((inliers) => evidenceAgainstChance(60, inliers, 7, 3, 0.01));
    expect([...rising].sort((p, q) => p - q)).toEqual(rising);
  });
});

describe("verification of made-up matches", () => {
  it("keeps the right ones of a scene with depth among as many wrong ones", () => {
    const found = outcome(madePair({ seed: 1, right: 120, wrong: 120, see: sideStep }));
    expect(found.model).toBe("epipolar");
    expect(found.kept).toBeGreaterThan(114);
    expect(found.wrong).toBeLessThan(8);
  });

  it("calls a plane and a pure shift a homography", () => {
    for (const see of [tilted, (x: number, y: number) => [x + 300, y - 20] as const]) {
      const found = outcome(madePair({ seed: 2, right: 100, wrong: 60, see }));
      expect(found.model).toBe("homography");
      expect(found.kept).toBeGreaterThan(95);
      expect(found.wrong).toBeLessThan(3);
    }
  });

  it("finds depth behind a dominant plane: four fifths on the plane, the rest beside it", () => {
    const see = (x: number, y: number, depth: number) => {
      const [u, v] = tilted(x, y);
      const parallax = depth < 0.8 ? 0 : 40 + 500 * (depth - 0.8);
      return [u + parallax, v + 0.2 * parallax] as const;
    };
    const found = outcome(madePair({ seed: 3, right: 200, wrong: 80, see }));
    expect(found.model).toBe("epipolar");
    expect(found.kept).toBeGreaterThan(185);
  });

  it("holds for photos turned on their side", () => {
    const see = (x: number, y: number): readonly [number, number] => [1050 - y, x - 150];
    const found = outcome(madePair({ seed: 4, right: 80, wrong: 80, see, turn: Math.PI / 2 }));
    expect(found.kept).toBeGreaterThan(72);
  });

  it("property: wrong matches alone are never linked", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), fc.integer({ min: 0, max: 200 }), (seed, wrong) => {
        const found = outcome(madePair({ seed, right: 0, wrong, see: tilted }));
        return found.model === "none" && found.inliers.length === 0 && found.evidence < LINK_EVIDENCE / 2;
      }),
      { numRuns: 60, seed: 1 },
    );
  });

  it("does not take many keypoints on one spot for many proofs", () => {
    const pair = madePair({ seed: 5, right: 0, wrong: 60, see: tilted });
    for (let i = 0; i < 25; i++) {
      // A logo of 8 px that both photos show somewhere.
      pair.a.x[i] = 300 + (i % 5);
      pair.a.y[i] = 200 + Math.floor(i / 5);
      pair.b.x[i] = 700 + (i % 5);
      pair.b.y[i] = 500 + Math.floor(i / 5);
      pair.b.angle[i] = pair.a.angle[i];
      pair.b.scale[i] = pair.a.scale[i];
    }
    expect(outcome(pair).model).toBe("none");
  });

  it("gives the same answer for the same seed, and about the same for swapped photos", () => {
    const { a, b, matches } = madePair({ seed: 6, right: 90, wrong: 90, see: sideStep });
    const once = verifyMatches(a, b, matches, 5);
    expect(verifyMatches(a, b, matches, 5)).toEqual(once);
    const swapped = verifyMatches(b, a, matches, 5);
    expect(Math.abs(swapped.inliers.length - once.inliers.length) / once.inliers.length).toBeLessThan(0.08);
  });

  it("does not mind having no matches, or few", () => {
    for (const right of [0, 1, 4, 7]) {
      const found = outcome(madePair({ seed: 7, right, wrong: 0, see: tilted }));
      expect(found).toMatchObject({ model: "none", kept: 0 });
    }
  });
});

describeWithData("verification of real photographs", () => {
  const read = async (place: "opencv" | "vips", name: string) =>
    extractFeatures(await workingPicture(dataPath(place, name)));
  const verified = (a: Features, b: Features) => {
    const matches = matchDescriptors(a, b);
    return { matches, ...verifyMatches(a, b, matches, 1) };
  };
  let graf1: Features;
  let graf3: Features;
  beforeAll(async () => {
    [graf1, graf3] = await Promise.all([read("opencv", "graf1.png"), read("opencv", "graf3.png")]);
  });

  const nearTruth = (pairs: Int32Array) => {
    const h = GRAF_1_TO_3;
    let near = 0;
    for (let k = 0; k < pairs.length; k += 2) {
      const [x, y] = [graf1.x[pairs[k]], graf1.y[pairs[k]]];
      const w = h[6] * x + h[7] * y + h[8];
      const dx = (h[0] * x + h[1] * y + h[2]) / w - graf3.x[pairs[k + 1]];
      const dy = (h[3] * x + h[4] * y + h[5]) / w - graf3.y[pairs[k + 1]];
      if (Math.hypot(dx, dy) < 3) near++;
    }
    return near;
  };

  it("graf1 and graf3 have more true matches than the general-purpose library's ORB (191 of 288 within 3 px)", () => {
    const { matches, inliers } = verified(graf1, graf3);
    expect(nearTruth(matches)).toBeGreaterThan(191);
    expect(nearTruth(inliers)).toBeGreaterThan(0.9 * nearTruth(matches));
    // The published homography is itself good to a few px: what lies near it is at least two thirds of the verified.
    expect(nearTruth(inliers) / (inliers.length / 2)).toBeGreaterThan(0.67);
  });

  it("links the halves of stitched pictures that share 14 to 20 %", async () => {
    for (const number of [1, 2, 3, 4]) {
      const [a, b] = await Promise.all([1, 2].map((half) => read("vips", `cd${number}.${half}.jpg`)));
      expect(verified(a, b).evidence).toBeGreaterThan(10 * LINK_EVIDENCE);
    }
  });
});
