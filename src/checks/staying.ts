import type { Facts } from "../types/facts.js";

/** The facts without some photos, as if they lay in another folder; where the other cameras stood stays as it was solved. */
export function without(facts: Facts, gone: ReadonlySet<string>): Facts {
  if (gone.size === 0) return facts;
  const stays = (file: string): boolean => !gone.has(file);
  return {
    ...facts,
    photos: facts.photos.filter(({ file }) => stays(file)),
    pairs: facts.pairs.filter(({ a, b }) => stays(a) && stays(b)),
    ...(facts.light && {
      light: { ...facts.light, photos: facts.light.photos.filter(({ file }) => stays(file)) },
    }),
    around: {
      ...facts.around,
      parts: facts.around.parts
        .map((part) => ({
          ...part,
          photos: part.photos.filter(stays),
          cameras: part.cameras.filter(({ file }) => stays(file)),
        }))
        .filter(({ photos }) => photos.length > 0),
    },
  };
}
