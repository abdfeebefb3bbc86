import type { Stats } from "node:fs";
import { open, readdir, stat } from "node:fs/promises";
import { basename, join, resolve } from "node:path";
import type { FileKind, UnsupportedFile } from "../types.js";
import { errorCode, GatherError, printable } from "./errors.js";
import { kindFromName, kindOf, SNIFF_BYTES } from "./kind.js";
import { compareNatural } from "./natural.js";

/** A kind of photo that is decoded here. */
export type PhotoKind = "jpeg" | "png" | "webp" | "tiff";

/** A file to read as a photo. */
export interface PhotoFile {
  /** Relative to the folder, "/" between parts on every system. */
  readonly file: string;
  /** To open it with. */
  readonly path: string;
  readonly kind: PhotoKind;
}

export interface FolderListing {
  /** The folder's own name, no path. */
  readonly name: string;
  /** In natural order of their names. */
  readonly photos: readonly PhotoFile[];
  /** In natural order of their names. */
  readonly unsupported: readonly UnsupportedFile[];
  /** Files of no photo kind: notes, videos, sidecars. Hidden and system files are not counted. */
  readonly otherFiles: number;
}

export interface ListOptions {
  readonly signal?: AbortSignal;
}

/** Files and folders that systems leave behind; compared in lower case. Hidden names (".x") go without saying. */
const SYSTEM_NAMES = new Set([
  "thumbs.db",
  "ehthumbs.db",
  "ehthumbs_vista.db",
  "desktop.ini",
  "icon\r",
  "__macosx",
  "$recycle.bin",
  "system volume information",
  "lost+found",
  "@eadir",
]);

function isSkipped(name: string): boolean {
  return name.startsWith(".") || SYSTEM_NAMES.has(name.toLowerCase());
}

/**
 * Lists what a folder holds, by content where the name claims a photo: a HEIC named .jpg is a HEIC, and a
 * text file or an empty file named .jpg is listed as a photo, so that reading it reports it. Folders inside are
 * not entered; links to files are followed.
 * @throws GatherError where the folder is missing, no folder, closed to us, empty, or without any photo
 */
export async function listFolder(folder: string, options: ListOptions = {}): Promise<FolderListing> {
  const names = await readNames(folder);
  const photos: PhotoFile[] = [];
  const unsupported: UnsupportedFile[] = [];
  const folders: string[] = [];
  let otherFiles = 0;
  for (const name of names.filter((each) => !isSkipped(each)).sort(compareNatural)) {
    options.signal?.throwIfAborted();
    const path = join(folder, name);
    const found = await classify(path, name);
    if (found === "folder") folders.push(name);
    else if (found === "other") otherFiles++;
    else if (found === "heic" || found === "raw") unsupported.push({ file: name, kind: found });
    else photos.push({ file: name, path, kind: found });
  }
  if (photos.length === 0 && unsupported.length === 0) throw noPhotos(folder, otherFiles, folders);
  return { name: ownName(folder), photos, unsupported, otherFiles };
}

/** The folder's own name; for the root of a disk, which has none, the path itself. */
function ownName(folder: string): string {
  return basename(resolve(folder)) || resolve(folder);
}

const PHOTOS = "a folder of photos";

async function readNames(folder: string): Promise<string[]> {
  const shown = printable(folder);
  if (folder === "") throw new GatherError(PHOTOS, "no name was given", "name the folder to check");
  try {
    return await readdir(folder);
  } catch (error) {
    switch (errorCode(error)) {
      case "ENOENT":
        throw new GatherError(
          PHOTOS,
          `${shown} does not exist`,
          "check the spelling, and that the disk is in",
        );
      case "ENOTDIR":
        throw new GatherError(PHOTOS, `${shown} is a single file`, "give the folder that holds it");
      case "EACCES":
      case "EPERM":
        throw new GatherError(
          PHOTOS,
          `${shown} may not be read by this user`,
          "change its permissions, or copy the photos to a folder of your own",
        );
      default:
        throw new GatherError(
          PHOTOS,
          `${shown} cannot be listed (${errorCode(error) ?? "unknown error"})`,
          "check the disk or card, then copy the photos to another folder",
        );
    }
  }
}

function noPhotos(folder: string, otherFiles: number, folders: readonly string[]): GatherError {
  const shown = printable(folder);
  const kinds = "a folder with photos (JPEG, PNG, WebP or TIFF)";
  if (folders.length > 0) {
    const first = printable(join(folder, folders[0]));
    const found = otherFiles > 0 ? "holds other files and folders, but no photo" : "holds only folders";
    return new GatherError(
      kinds,
      `${shown} ${found}`,
      `name the one that holds the photos, such as ${first}`,
    );
  }
  if (otherFiles === 0) return new GatherError(kinds, `${shown} is empty`, "copy the photos into it first");
  const files = otherFiles === 1 ? "1 file" : `${otherFiles} files`;
  return new GatherError(kinds, `${shown} holds ${files} and no photo`, "copy the photos into it first");
}

async function classify(path: string, name: string): Promise<FileKind | "folder"> {
  let stats: Stats;
  try {
    stats = await stat(path);
  } catch {
    // A link to nothing, or a file that vanished after the listing: reading it will say so.
    return kindFromName(name);
  }
  if (stats.isDirectory()) return "folder";
  // A pipe or socket is never opened: that could wait for ever.
  if (!stats.isFile()) return "other";
  if (kindFromName(name) === "other") return "other";
  return kindOf(name, await firstBytes(path));
}

/** The start of a file; empty where it cannot be read, which reading the photo will report. */
async function firstBytes(path: string): Promise<Uint8Array> {
  const bytes = new Uint8Array(SNIFF_BYTES);
  try {
    const handle = await open(path);
    try {
      const { bytesRead } = await handle.read(bytes, 0, SNIFF_BYTES, 0);
      return bytes.subarray(0, bytesRead);
    } finally {
      await handle.close();
    }
  } catch {
    return bytes.subarray(0, 0);
  }
}
