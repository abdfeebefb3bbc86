/** Does work on all items, some at a time, and fails with the first that fails once none is being worked on. */
export async function inTurn<T>(
  items: readonly T[],
  atOnce: number,
  work: (item: T, place: number) => Promise<void>,
): Promise<void> {
  let next = 0;
  let failed: { error: unknown } | undefined;
  const worker = async () => {
    while (next < items.length && failed === undefined) {
      const place = next++;
      try {
        await work(items[place], place);
      } catch (error) {
        failed ??= { error };
      }
    }
  };
  await Promise.all(Array.from({ length: atOnce }, worker));
  if (failed) throw failed.error;
}
