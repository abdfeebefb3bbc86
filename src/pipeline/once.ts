/** Items that are alike need doing once. */
export interface Once<T> {
  /** The first of each kind, in order. */
  readonly firsts: readonly T[];
  /** For each item, where the first of its kind stands in `firsts`. */
  readonly placeOf: readonly number[];
}

/**
 * Sorts out which of many items are alike.
 * @param keyOf the same text for items that are alike; undefined for one that is like no other
 */
export function onceEach<T>(items: readonly T[], keyOf: (item: T) => string | undefined): Once<T> {
  const firsts: T[] = [];
  const places = new Map<string, number>();
  const placeOf = items.map((item) => {
    const key = keyOf(item);
    const known = key === undefined ? undefined : places.get(key);
    if (known !== undefined) return known;
    if (key !== undefined) places.set(key, firsts.length);
    return firsts.push(item) - 1;
  });
  return { firsts, placeOf };
}
