/** The middle value, or the mean of the two middle ones. @throws RangeError on an empty list */
export function median(values: ArrayLike<number>): number {
  if (values.length === 0) throw new RangeError("expected at least one value, found none");
  const sorted = new Float64Array(values).sort();
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** The median of the first `count` values, which it sorts: a few of them, thousands of times over. */
export function medianOfFew(values: Float64Array, count: number): number {
  for (let n = 1; n < count; n++) {
    const value = values[n];
    let k = n;
    for (; k > 0 && values[k - 1] > value; k--) values[k] = values[k - 1];
    values[k] = value;
  }
  const middle = count >> 1;
  return count % 2 === 1 ? values[middle] : (values[middle - 1] + values[middle]) / 2;
}

/** The middle value, or the upper of the two middle ones, so that it is one of the values; 0 on an empty list. */
export function upperMedian(values: ArrayLike<number>): number {
  return values.length > 0 ? new Float64Array(values).sort()[values.length >> 1] : 0;
}
