/** What a file is; AVIF counts as heic, "foreign" is a photo of a kind that is not read, "other" is no photo. */
export type FileKind = "jpeg" | "png" | "webp" | "tiff" | "heic" | "raw" | "foreign" | "other";

/** A photo that holds nothing that is read here: a raw file without a preview picture inside. */
export interface UnsupportedFile {
  readonly file: string;
  readonly kind: "raw";
}

/** What lies in the folder and was not judged, though it has to do with the photos. */
export interface LeftAlone {
  /** Raw files beside a JPEG or HEIC of the same name: one shot, judged by that. */
  readonly rawBeside: readonly string[];
  /** Videos of the same name as a photo. */
  readonly liveVideos: number;
  /** Edits and captions stored beside photos. */
  readonly sidecars: number;
  /** Photos in folders inside, which were not entered, and how many folders hold them. */
  readonly photosInside: number;
  readonly foldersInside: number;
  /** Folders inside that should have been entered and could not be. */
  readonly closedFolders: readonly string[];
}

/** Why a file cannot be read, for people. */
export interface Unreadable {
  /** What is wrong, one clause: "the file is empty". */
  readonly reason: string;
  /** What to do, an instruction that goes on behind a colon: "save a JPEG copy"; absent where nobody can say. */
  readonly wayOut?: string;
}

/** A file of a supported kind that cannot be read. */
export interface UnreadableFile extends Unreadable {
  readonly file: string;
}
