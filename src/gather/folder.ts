import type { BigIntStats } from "node:fs";
import { open, readdir, stat } from "node:fs/promises";
import { basename, join, resolve, sep } from "node:path";
import { errorCode } from "../errors.js";
import type { FileKind, LeftAlone } from "../types/folder.js";
import { GatherError, printable } from "./errors.js";
import { kindFromName, kindOf, SNIFF_BYTES } from "./kind.js";
import { compareNatural } from "./natural.js";

/** A kind of photo that is read here. */
export type PhotoKind = Exclude<FileKind, "other">;

/** How to open a file: bytes where its name is no valid UTF-8. */
export type FilePath = string | Uint8Array;

/** A file to read as a photo. */
export interface PhotoFile {
  /** Relative to the folder, "/" between parts on every system. */
  readonly file: string;
  /** To open it with. */
  readonly path: FilePath;
  readonly kind: PhotoKind;
  /** The same for all links to one file; absent where the file system does not tell. */
  readonly identity?: string;
}

export interface FolderListing {
  /** The folder's own name, no path. */
  readonly name: string;
  /** In natural order of their names. */
  readonly photos: readonly PhotoFile[];
  /** Files of no photo kind: notes, videos, sidecars. Hidden and system files are not counted. */
  readonly otherFiles: number;
  /** Absent where there is nothing to say of it. */
  readonly leftAlone?: LeftAlone;
}

export interface ListOptions {
  /** Enters the folders inside as well. */
  readonly recursive?: boolean;
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
 * text file or an empty file named .jpg is listed as a photo, so that reading it reports it. Links to files are
 * followed. Folders inside are entered where that is asked for, each once, whichever links lead to it or back.
 * @throws GatherError where the folder is missing, no folder, closed to us, empty, or without any photo
 */
export async function listFolder(folder: string, options: ListOptions = {}): Promise<FolderListing> {
  const found = await walk(folder, options);
  const { photos, rawBeside } = withoutRawBeside(found.photos);
  if (photos.length === 0) throw noPhotos(folder, found);
  const { liveVideos, sidecars } = companions(found.others, photos);
  const inside = options.recursive ? NOTHING_INSIDE : await photosInside(found.folders, options.signal);
  const closedFolders = found.closed;
  const leftAlone = { rawBeside, liveVideos, sidecars, ...inside, closedFolders };
  const counted = rawBeside.length + liveVideos + sidecars + inside.photosInside + closedFolders.length;
  return {
    name: ownName(folder),
    photos,
    otherFiles: found.others.length,
    ...(counted > 0 && { leftAlone }),
  };
}

interface Found {
  readonly photos: PhotoFile[];
  /** Names of files that are no photos. */
  readonly others: string[];
  /** Folders inside that were not entered. */
  readonly folders: Entry[];
  /** Folders inside that could not be entered. */
  readonly closed: string[];
}

/** Goes through the folder and, where asked, those inside: real ones first, then those that links lead to. */
async function walk(folder: string, { recursive = false, signal }: ListOptions): Promise<Found> {
  const found: Found = { photos: [], others: [], folders: [], closed: [] };
  const entered = new Set([await identityOf(folder)]);
  const waiting: Entry[] = [];
  const linked: Entry[] = [];
  let entries = await readEntries(folder).catch((error: unknown) => {
    throw notListed(folder, error);
  });
  for (;;) {
    for (const entry of entries) {
      signal?.throwIfAborted();
      const { kind, identity } = await classify(entry);
      if (kind === "folder") (!recursive ? found.folders : entry.isLink ? linked : waiting).push(entry);
      else if (kind === "other") found.others.push(entry.file);
      else found.photos.push({ file: entry.file, path: entry.path, kind, ...(identity && { identity }) });
    }
    const next = waiting.shift() ?? linked.shift();
    if (next === undefined) break;
    const identity = await identityOf(next.path);
    entries = [];
    if (identity !== undefined && entered.has(identity)) continue;
    entered.add(identity);
    try {
      entries = await readEntries(next.path, `${next.file}/`);
    } catch {
      found.closed.push(next.file);
    }
  }
  const byName = (a: { file: string }, b: { file: string }): number => compareNatural(a.file, b.file);
  found.photos.sort(byName);
  found.folders.sort(byName);
  return found;
}

/** What tells a file or folder from all others, whatever path leads to it; undefined where there is no telling. */
async function identityOf(path: FilePath): Promise<string | undefined> {
  try {
    return identityIn(await stat(pathLike(path), { bigint: true }));
  } catch {
    return undefined;
  }
}

function identityIn({ dev, ino }: BigIntStats): string | undefined {
  return ino === 0n ? undefined : `${dev}:${ino}`;
}

// ---------------------------------------------------------------- what belongs to photos

/** The name without its extension, letters of either case alike. */
function stemOf(file: string): string {
  const dot = file.lastIndexOf(".");
  return (dot > file.lastIndexOf("/") + 1 ? file.slice(0, dot) : file).toLowerCase();
}

/** Cameras that store raw and JPEG (or HEIC) of one shot give both the same name: the raw file is set aside. */
function withoutRawBeside(all: readonly PhotoFile[]): { photos: PhotoFile[]; rawBeside: string[] } {
  const developed = new Set(
    all.filter(({ kind }) => kind === "jpeg" || kind === "heic").map(({ file }) => stemOf(file)),
  );
  const isBeside = ({ file, kind }: PhotoFile): boolean => kind === "raw" && developed.has(stemOf(file));
  return {
    photos: all.filter((photo) => !isBeside(photo)),
    rawBeside: all.filter(isBeside).map(({ file }) => file),
  };
}

const VIDEO = /\.(mov|mp4)$/i;
/** Edits, captions and thumbnails that phones, cameras and photo editors store beside a photo. */
const SIDECAR = /\.(aae|xmp|thm|pp3|dop|cos|on1|vrd)$/i;

/** How many of the other files belong to photos: videos of live photos, which bear a photo's name, and sidecars. */
function companions(
  others: readonly string[],
  photos: readonly PhotoFile[],
): { liveVideos: number; sidecars: number } {
  const stems = new Set(photos.map(({ file }) => stemOf(file)));
  return {
    liveVideos: others.filter((file) => VIDEO.test(file) && stems.has(stemOf(file))).length,
    sidecars: others.filter((file) => SIDECAR.test(file)).length,
  };
}

const NOTHING_INSIDE = { photosInside: 0, foldersInside: 0 } as const;
/** Enough to say that there are photos; a whole disk may lie below. */
const MOST_LOOKED_AT = 20_000;

/** Photos by name in folders that are not entered, and how many folders hold them. Links are not followed. */
async function photosInside(
  folders: readonly Entry[],
  signal: AbortSignal | undefined,
): Promise<{ photosInside: number; foldersInside: number }> {
  const waiting = folders.filter(({ isLink }) => !isLink);
  let [photos, holding, looked] = [0, 0, 0];
  for (let next = waiting.shift(); next !== undefined && looked < MOST_LOOKED_AT; next = waiting.shift()) {
    signal?.throwIfAborted();
    const entries = await readEntries(next.path, `${next.file}/`).catch(() => []);
    const here = entries.filter(({ isFolder, name }) => !isFolder && kindFromName(name) !== "other").length;
    photos += here;
    holding += here > 0 ? 1 : 0;
    looked += entries.length;
    waiting.push(...entries.filter(({ isFolder }) => isFolder));
  }
  return { photosInside: photos, foldersInside: holding };
}

/** The folder's own name; for the root of a disk, which has none, the path itself. */
function ownName(folder: string): string {
  return basename(resolve(folder)) || resolve(folder);
}

const PHOTOS = "a folder of photos";

/** One name in a folder. */
interface Entry {
  readonly name: string;
  /** With the folders that lead to it. */
  readonly file: string;
  readonly path: FilePath;
  /** As the folder itself says, links not followed. */
  readonly isFolder: boolean;
  readonly isLink: boolean;
}

/** What a folder holds, but for hidden and system files, in natural order. */
async function readEntries(folder: FilePath, prefix = ""): Promise<Entry[]> {
  const listed = await readdir(pathLike(folder), { withFileTypes: true, encoding: "buffer" });
  const named = listed.map((entry) => {
    const { name, path } = locate(folder, entry.name);
    return {
      name,
      path,
      file: prefix + name,
      isFolder: entry.isDirectory(),
      isLink: entry.isSymbolicLink(),
    };
  });
  return named.filter(({ name }) => !isSkipped(name)).sort((a, b) => compareNatural(a.name, b.name));
}

/**
 * A name's text and the path to open it with. Systems allow names that are no UTF-8 (old cards and archives have
 * them): of those every byte beyond ASCII is spelt out, so that none reads like a name in UTF-8, and they are opened by
 * their bytes.
 */
function locate(folder: FilePath, bytes: Buffer): { readonly name: string; readonly path: FilePath } {
  const text = bytes.toString("utf8");
  const isText = Buffer.from(text, "utf8").equals(bytes);
  const name = isText ? text : spelt(bytes);
  if (isText && typeof folder === "string") return { name, path: join(folder, text) };
  return { name, path: Buffer.concat([Buffer.from(folder), Buffer.from(sep), bytes]) };
}

function spelt(bytes: Buffer): string {
  return bytes
    .toString("latin1")
    .replace(/[\u0080-\u00ff]/g, (byte) => `\\x${byte.charCodeAt(0).toString(16)}`);
}

/** A path as the file system takes it. */
export function pathLike(path: FilePath): string | Buffer {
  return typeof path === "string" ? path : Buffer.from(path.buffer, path.byteOffset, path.byteLength);
}

function notListed(folder: string, error: unknown): GatherError {
  const shown = printable(folder);
  if (folder === "") return new GatherError(PHOTOS, "no name was given", "name the folder to check");
  switch (errorCode(error)) {
    case "ENOENT":
      return new GatherError(
        PHOTOS,
        `${shown} does not exist`,
        "check the spelling, and that the disk is in",
      );
    case "ENOTDIR":
      return new GatherError(PHOTOS, `${shown} is a single file`, "give the folder that holds it");
    case "EACCES":
    case "EPERM":
      return new GatherError(
        PHOTOS,
        `${shown} may not be read by this user`,
        "change its permissions, or copy the photos to a folder of your own",
      );
    default:
      return new GatherError(
        PHOTOS,
        `${shown} cannot be listed (${errorCode(error) ?? "unknown error"})`,
        "check the disk or card, then copy the photos to another folder",
      );
  }
}

function noPhotos(folder: string, { others, folders, closed }: Found): GatherError {
  const shown = printable(folder);
  if (closed.length > 0)
    return new GatherError(
      PHOTOS,
      `${printable(join(folder, closed[0]))} may not be looked into`,
      "change its permissions, or copy the photos to a folder of your own",
    );
  const kinds = "a folder with photos (JPEG, HEIC, PNG, WebP, TIFF, AVIF or raw)";
  if (folders.length > 0) {
    const first = printable(join(folder, folders[0].file));
    const found = others.length > 0 ? "holds other files and folders, but no photo" : "holds only folders";
    return new GatherError(
      kinds,
      `${shown} ${found}`,
      `name the one that holds the photos, such as ${first}, or add --recursive to look into all of them`,
    );
  }
  if (others.length === 0)
    return new GatherError(kinds, `${shown} is empty`, "copy the photos into it first");
  const files = others.length === 1 ? "1 file" : `${others.length} files`;
  return new GatherError(kinds, `${shown} holds ${files} and no photo`, "copy the photos into it first");
}

interface Classified {
  readonly kind: FileKind | "folder";
  readonly identity?: string | undefined;
}

async function classify({ name, path }: Entry): Promise<Classified> {
  let stats: BigIntStats;
  try {
    stats = await stat(pathLike(path), { bigint: true });
  } catch {
    // A link to nothing, or a file that vanished after the listing: reading it will say so.
    return { kind: kindFromName(name) };
  }
  if (stats.isDirectory()) return { kind: "folder" };
  // A pipe or socket is never opened: that could wait for ever.
  if (!stats.isFile() || kindFromName(name) === "other") return { kind: "other" };
  return { kind: kindOf(name, await firstBytes(path)), identity: identityIn(stats) };
}

/** The start of a file; empty where it cannot be read, which reading the photo will report. */
async function firstBytes(path: FilePath): Promise<Uint8Array> {
  const bytes = new Uint8Array(SNIFF_BYTES);
  try {
    const handle = await open(pathLike(path));
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
