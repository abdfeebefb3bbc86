/**
 * Noise of the quietest tenth of the tiles: Immerkaer's operator reads texture as noise, so only tiles that
 * show little else are believed. Tiles that are clipped or blocked in more than 2 % of their pixels are left
 * out, since a burnt-out sky has no noise to show.
 *
 * @param tileNoise noise standard deviation a tile, grey levels
 * @param spoiltRatio share of clipped or blocked pixels a tile, 0 to 1
 * @returns grey levels; undefined where every tile is spoilt
 */
export function quietestNoise(tileNoise: Float64Array, spoiltRatio: Float64Array): number | undefined {
  const usable = [...tileNoise].filter((_, tile) => spoiltRatio[tile] <= 0.02).sort((a, b) => a - b);
  if (usable.length === 0) return undefined;
  const quietest = usable.slice(0, Math.max(1, Math.round(tileNoise.length / 10)));
  return quietest.reduce((sum, value) => sum + value, 0) / quietest.length;
}
