import { createFeatures } from "../measure/features/features.js";
import { createCells } from "../measure/photo/cells.js";
import type { Store } from "../runtime/cache/store.js";
import { collectGarbage } from "../runtime/memory.js";
import type { Cells, Features, MeasuredPhoto } from "../types/photo.js";

/** What is needed of a photo again when pairs and the whole set are measured: too much to hold for thousands. */
export interface PhotoData {
  readonly features: Features;
  readonly cells: Cells;
}

/** A photo's data: where it lies in the store, or itself where it could not be stored. */
export type PhotoDataRef = { readonly key: readonly string[] } | { readonly data: PhotoData };

/** A measured photo, and where what is too much to hold lies. */
export type ReadPhoto = MeasuredPhoto & { readonly data: PhotoDataRef };

/** A photo's data as it lies in the store. Shared memory cannot be written, so the arrays are copied. */
interface DataRecord {
  readonly count: number;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly features: Uint8Array;
  readonly columns: number;
  readonly rows: number;
  readonly cells: Uint8Array;
}

export function storePhoto(
  store: Store,
  key: readonly string[],
  facts: Omit<MeasuredPhoto, "file">,
  { features, cells }: PhotoData,
): boolean {
  const record: DataRecord = {
    count: features.count,
    widthPx: features.widthPx,
    heightPx: features.heightPx,
    features: new Uint8Array(features.x.buffer).slice(),
    columns: cells.columns,
    rows: cells.rows,
    cells: new Uint8Array(cells.red.buffer).slice(),
  };
  // A run with nothing changed asks for the facts alone: in a file of their own they are read in no time.
  return store.write("data", key, record) && store.write("photo", key, facts);
}

/**
 * The facts of a photo measured before, whose data is there as well; undefined where there are none.
 * @param wholly its data is not only looked for, but read and checked: takes longer, and is seldom needed
 */
export function storedFacts(
  store: Store,
  key: readonly string[],
  wholly = false,
): Omit<MeasuredPhoto, "file"> | undefined {
  return (wholly ? store.read("data", key) !== undefined : store.has("data", key))
    ? (store.read("photo", key) as Omit<MeasuredPhoto, "file"> | undefined)
    : undefined;
}

/** Photos' data last asked for, oldest first. */
const lately = new Map<string, PhotoData>();
/**
 * Photos cached by this thread. One that compares pairs wants those before and after one in capture order, and its
 * partners elsewhere: 4 MiB.
 */
let mostCached = 24;

/** Has this thread cache other than 24 photos' data. */
export function cachePhotos(most: number): void {
  mostCached = most;
}

/**
 * A photo's data, from the store or from among those last asked for.
 * @throws Error {@link DATA_GONE} where it is damaged, or there no more: someone emptied the cache under the run
 */
export function photoData(store: Store, ref: PhotoDataRef): PhotoData {
  if ("data" in ref) return ref.data;
  const name = ref.key.join("/");
  const cached = lately.get(name);
  lately.delete(name);
  const data = cached ?? readAnew(store, ref.key);
  lately.set(name, data);
  for (const oldest of lately.keys()) {
    if (lately.size <= mostCached) break;
    lately.delete(oldest);
  }
  return data;
}

/**
 * Bytes of photos read and dropped again before they are collected: the buffers of the files they were read from wait beside them. At
 * 20 MiB the process grew by 56 MiB while 2,000 were read; collecting each 50 photos is hardly seen in the time.
 */
const MOST_DROPPED = 8 * 2 ** 20;
let read = 0;

function readAnew(store: Store, key: readonly string[]): PhotoData {
  const data = readPhoto(store, key);
  read += data.features.x.buffer.byteLength + data.cells.red.buffer.byteLength;
  if (lately.size >= mostCached && read > MOST_DROPPED) {
    collectGarbage();
    read = 0;
  }
  return data;
}

/** The message of the error where a photo's data was there and cannot be read: an error's class does not cross threads. */
export const DATA_GONE =
  "what was measured of a photo is gone from where it was stored, or damaged: run again";

function readPhoto(store: Store, key: readonly string[]): PhotoData {
  const record = store.read("data", key) as DataRecord | undefined;
  if (record === undefined) {
    throw new Error(DATA_GONE);
  }
  const features = createFeatures(record.count, record.widthPx, record.heightPx);
  new Uint8Array(features.x.buffer).set(record.features);
  const cells = createCells(record.columns, record.rows);
  new Uint8Array(cells.red.buffer).set(record.cells);
  return { features, cells };
}
