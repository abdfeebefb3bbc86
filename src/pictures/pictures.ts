import { UnreadablePhoto } from "../gather/errors.js";
import { type FilePath, listFolder } from "../gather/folder.js";
import { readPhotoFileToKeep } from "../gather/read-file.js";
import { inTurn } from "../in-turn.js";
import type { PhotoPictures, Pictures, PicturesOrder } from "../report/page/pictures.js";
import { picturesOf } from "./photo-pictures.js";

export interface PicturesOptions {
  /** Looks into the folders inside as well. */
  readonly recursive?: boolean;
  /** Photos worked on at a time; two unless said. */
  readonly jobs?: number;
  readonly onProgress?: (done: number, of: number) => void;
  readonly signal?: AbortSignal;
}

/** Photos at once at the most: each holds some 10 MB while it is made smaller. */
const MOST_AT_ONCE = 8;
/** Photos larger than this are decoded one at a time, megapixels. */
const LARGE = 50;

/**
 * Makes the pictures that a page wants of the photos in a folder, which is only read. A photo that is not there any more,
 * or is another one than was judged, gets none.
 *
 * @throws GatherError where the folder cannot be listed
 */
export async function makePictures(
  folder: string,
  { sizes, photos }: PicturesOrder,
  { recursive = false, jobs = 2, onProgress, signal }: PicturesOptions = {},
): Promise<Pictures> {
  const listing = await listFolder(folder, { recursive, ...(signal && { signal }) });
  const paths = new Map<string, FilePath>(listing.photos.map(({ file, path }) => [file, path]));
  const made = new Map<string, PhotoPictures>();
  let done = 0;
  const largest = Math.max(0, ...photos.map(({ megapixels }) => megapixels));
  await inTurn(photos, largest > LARGE ? 1 : Math.min(MOST_AT_ONCE, jobs), async (order) => {
    signal?.throwIfAborted();
    const path = paths.get(order.file);
    const pictures = path === undefined ? undefined : await picturesAt(path);
    if (pictures !== undefined) made.set(order.file, pictures);
    onProgress?.(++done, photos.length);

    async function picturesAt(place: FilePath): Promise<PhotoPictures | undefined> {
      try {
        const { bytes, contentHash } = await readPhotoFileToKeep(place);
        return contentHash === order.contentHash ? await picturesOf(bytes, order, sizes) : undefined;
      } catch (error) {
        if (error instanceof UnreadablePhoto) return undefined;
        throw error;
      }
    }
  });
  return made;
}
