/** The middle value, or the mean of the two middle ones. @throws RangeError on an empty list */
export function median(values: ArrayLike<number>): number {
  if (values.length === 0) throw new RangeError("expected at least one value, found none");
  const sorted = new Float64Array(values).sort();
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** The middle value, or the upper of the two middle ones, so that it is one of the values; 0 on an empty list. */
export function upperMedian(values: ArrayLike<number>): number {
  return values.length > 0 ? new Float64Array(values).sort()[values.length >> 1] : 0;
}
