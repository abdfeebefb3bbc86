/** The name most like `word`, where one is near enough to be a slip of the hand: a third of it wrong at most. */
export function nearest(word: string, names: readonly string[]): string | undefined {
  let best: string | undefined;
  let bestDistance = Math.max(1, Math.floor(word.length / 3)) + 1;
  for (const name of names) {
    const distance = editDistance(word.toLowerCase(), name.toLowerCase());
    if (distance < bestDistance) [best, bestDistance] = [name, distance];
  }
  return best;
}

/**
 * Letters to add, drop, change or swap with their neighbour to turn one word into the other.
 * @see Damerau 1964, "A technique for computer detection and correction of spelling errors" (from memory)
 */
export function editDistance(a: string, b: string): number {
  const rows = Array.from({ length: a.length + 1 }, (_, i) => [i, ...new Array<number>(b.length).fill(0)]);
  for (let j = 1; j <= b.length; j++) rows[0]![j] = j;
  for (let i = 1; i <= a.length; i++) {
    for (let j = 1; j <= b.length; j++) {
      const change = a[i - 1] === b[j - 1] ? 0 : 1;
      let least = Math.min(rows[i - 1]![j]! + 1, rows[i]![j - 1]! + 1, rows[i - 1]![j - 1]! + change);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        least = Math.min(least, rows[i - 2]![j - 2]! + 1);
      rows[i]![j] = least;
    }
  }
  return rows[a.length]![b.length]!;
}
