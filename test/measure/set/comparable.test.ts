import { describe, expect, test } from "vitest";
import { comparableFacts, sharpnessGroup } from "#goodgate/measure/set/comparable.js";
import { pair } from "../../support/facts.js";

const photo = { widthPx: 4000, heightPx: 3000 };
const preview = { widthPx: 1620, heightPx: 1080, rawPreview: { whole: true } };

describe("photos whose sharpness may be compared", () => {
  test("are all that are no previews, and previews of one size, turned or not", () => {
    expect(sharpnessGroup({ ...photo, widthPx: 800 })).toBe(sharpnessGroup(photo));
    expect(sharpnessGroup({ ...preview, widthPx: 1080, heightPx: 1620 })).toBe(sharpnessGroup(preview));
    expect(sharpnessGroup({ ...preview, widthPx: 4000, heightPx: 3000 })).not.toBe(sharpnessGroup(preview));
    expect(sharpnessGroup({ ...photo, rawPreview: { whole: true } })).not.toBe(sharpnessGroup(photo));
  });

  test("keep what a pair says of them; of others all but sharpness stays", () => {
    const { a: _, b: __, ...facts } = pair("a", "b", { relativeDetail: 0.1 });
    expect(comparableFacts(photo, photo, facts)).toBe(facts);
    const { relativeSharpness: ___, relativeDetail: ____, ...rest } = facts;
    expect(comparableFacts(photo, preview, facts)).toEqual(rest);
  });
});
