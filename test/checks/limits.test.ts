import { describe, expect, test } from "vitest";
import { defaultLimits, explained } from "#goodgate/checks/index.js";
import { mergeLimits } from "#goodgate/checks/limits.js";
import type { DeclaredLimit } from "#goodgate/types/units.js";

const declared = explained.flatMap(({ id, limits }) =>
  Object.entries(limits).map(([name, limit]): [string, string, DeclaredLimit] => [id, name, limit]),
);
/** All limits that have to lie on one side of a limit, through however many checks. */
const beyond = (limit: DeclaredLimit, side: "over" | "under"): Set<DeclaredLimit> => {
  const found = new Set([limit]);
  for (let before = 0; before < found.size; ) {
    before = found.size;
    for (const { limits, rising = [] } of explained) {
      const chain = rising.map((name) => limits[name]!);
      if (side === "under") chain.reverse();
      const at = chain.findIndex((one) => found.has(one));
      if (at !== -1) for (const one of chain.slice(at)) found.add(one);
    }
  }
  found.delete(limit);
  return found;
};

/** The value put in for one limit, and out of its way all limits that have to be in order with it. */
const merged = (id: string, name: string, value: number) => {
  const limit = explained.find((check) => check.id === id)!.limits[name]!;
  const [over, under] = [beyond(limit, "over"), beyond(limit, "under")];
  const json: Record<string, Record<string, number>> = { [id]: { [name]: value } };
  for (const [check, own, other] of declared)
    if (over.has(other) || under.has(other))
      json[check] = { ...json[check], [own]: other.range[over.has(other) ? 1 : 0] };
  return mergeLimits(json);
};

describe("the range of a limit", () => {
  test.each(declared)("%s.%s holds the usual value, and both its ends", (id, name, { value, range }) => {
    const [least, most] = range;
    expect(least).toBeLessThan(most);
    expect(value).toBeGreaterThanOrEqual(least);
    expect(value).toBeLessThanOrEqual(most);
    for (const end of range) expect(merged(id, name, end)[id]![name]!.value).toBe(end);
  });

  test.each(declared)("%s.%s refuses what lies outside, naming itself and its unit", (id, name, limit) => {
    const [least, most] = limit.range;
    for (const wrong of [least - 1, most * 1.01 + 1, Number.POSITIVE_INFINITY, Number.NaN])
      expect(() => merged(id, name, wrong)).toThrow(`from ${least} to ${most} (${limit.unit}`);
    expect(() => merged(id, name, least - 1)).toThrow(`for ${id}.${name}, but found ${least - 1}: `);
  });

  test("photos and matches come whole", () => {
    expect(() => mergeLimits({ "too-few-photos": { fewest: 2.5 } })).toThrow(
      /Expected a whole number .* found 2.5/,
    );
  });
});

describe("limits that contradict each other", () => {
  test.each(explained.filter(({ rising }) => rising !== undefined))(
    "$id: none may lie over the next, as they do not by themselves",
    ({ id, limits, rising = [] }) => {
      rising.slice(1).forEach((upper, i) => {
        const [low, high] = [limits[rising[i]!]!, limits[upper]!];
        expect(low.value).toBeLessThanOrEqual(high.value);
        const table = { [rising[i]!]: low.range[1], [upper]: high.range[0] };
        expect(() => mergeLimits({ [id]: table })).toThrow(/to be no more than/);
      });
    },
  );

  test("a boundary that checks share moves for all of them, and cannot be put in two places", () => {
    const { gap, "wide-step": step, "open-ring": ring } = mergeLimits({ gap: { step: 30, open: 60 } });
    expect([gap!.step!.value, step!.gap!.value]).toEqual([30, 30]);
    expect([gap!.open!.value, ring!.open!.value]).toEqual([60, 60]);
    expect(() => mergeLimits({ gap: { step: 30 }, "wide-step": { gap: 28 } })).toThrow(
      "Expected gap.step and wide-step.gap to be the same, since they are one boundary, but they are 30 and 28 degrees",
    );
    expect(mergeLimits({ gap: { step: 30 }, "wide-step": { gap: 30 } }).gap!.step!.value).toBe(30);
  });

  test("one that the file leaves out counts with its usual value", () => {
    expect(() => mergeLimits({ "light-side": { noted: 3 } })).toThrow(
      "Expected light-side.noted to be no more than light-side.reshoot, but they are 3 and 2 stops: change one",
    );
    expect(mergeLimits({ "light-side": { noted: 3, reshoot: 4 } })["light-side"]!.noted!.value).toBe(3);
  });
});

describe("a name that is not known", () => {
  const ids = explained.filter(({ limits }) => Object.keys(limits).length > 0).map(({ id }) => id);

  test("is answered with the nearest, or with all where none is near", () => {
    expect(() => mergeLimits({ "soft-foto": {} })).toThrow('found "soft-foto": soft-photo is nearest');
    expect(() => mergeLimits({ sharpness: {} })).toThrow(`choose from ${ids.join(", ")}.`);
    expect(() => mergeLimits({ gap: { stepp: 20 } })).toThrow(
      'Expected a limit of the check gap, but found "stepp": step is nearest, and goodgate checks gap explains',
    );
    const own = Object.keys(defaultLimits["soft-photo"]!).join(", ");
    expect(() => mergeLimits({ "soft-photo": { x: 1 } })).toThrow(`choose from ${own}.`);
  });

  test("a check without limits is told from one that is not there", () => {
    expect(() => mergeLimits({ "stored-location": { on: 0 } })).toThrow(
      "found stored-location, which has none",
    );
  });
});

test("a message names the file where the limits came from one", () => {
  for (const json of [3, { gap: 3 }, { gap: { step: "3" } }, { gap: { stp: 3 } }, { gaps: {} }])
    expect(() => mergeLimits(json, "jug limits.json")).toThrow('in "jug limits.json"');
});
