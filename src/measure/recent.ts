/** Remembers what was made of the last few numbers asked for, and makes the others anew. */
export function remember<T>(most: number, make: (key: number) => T): (key: number) => T {
  const kept = new Map<number, T>();
  return (key) => {
    const value = kept.has(key) ? (kept.get(key) as T) : make(key);
    kept.delete(key);
    kept.set(key, value);
    for (const oldest of kept.keys()) {
      if (kept.size <= most) break;
      kept.delete(oldest);
    }
    return value;
  };
}
