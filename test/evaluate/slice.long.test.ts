import { describe, expect, it } from "vitest";
import { judge } from "#goodgate/checks/index.js";
import { measureSet } from "./measure-set.js";
import { scoreSets } from "./score.js";
import { type Injected, renderedSet } from "./sets.js";

const good: Injected = { kind: "good" };
const SMALL = { widthPx: 1024, heightPx: 768 };
const ring = (photos: number) => [{ elevationDeg: 20, photos, startDeg: 0, spanDeg: 360 }];

describe("a fixed slice of the evaluation", () => {
  it("names every fault put into a ring of 24, and no good photo", { timeout: 300_000 }, async () => {
    const injected = new Array<Injected>(24).fill(good);
    injected[2] = { kind: "defocus", size: 2 };
    injected[6] = { kind: "motion", size: 12 };
    injected[9] = { kind: "exposure", size: 0.7 };
    injected[12] = { kind: "exposure", size: -0.7 };
    injected[15] = { kind: "blown", size: 3 };
    injected[18] = { kind: "stray" };
    const set = await measureSet(renderedSet(3, injected, { ...SMALL, rings: ring(24) }));
    const { misses, falseAlarms } = scoreSets([set]);
    expect(misses).toEqual([]);
    expect(falseAlarms).toEqual([]);
  });

  it("a set soft throughout does not pass, and says so", { timeout: 300_000 }, async () => {
    const soft = new Array<Injected>(6).fill({ kind: "defocus", size: 3 });
    const { facts } = await measureSet(renderedSet(4, soft, { ...SMALL, rings: ring(6) }));
    const { findings, verdict } = judge(facts);
    expect(verdict).toBe("reshoot");
    expect(findings.map(({ check }) => check)).toContain("soft-set");
  });

  it("a sharp set of a plain subject is not called soft", { timeout: 300_000 }, async () => {
    const plain = { ...SMALL, rings: ring(6), material: "plaster", background: "plain" } as const;
    const { facts } = await measureSet(renderedSet(5, new Array<Injected>(6).fill(good), plain));
    const soft = judge(facts).findings.filter(({ check }) => check === "soft-set" || check === "soft-photo");
    expect(soft).toEqual([]);
  });
});
