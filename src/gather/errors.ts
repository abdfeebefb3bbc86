import { CONTROLS } from "../controls.js";
import { ExplainedError } from "../errors.js";
import type { Unreadable } from "../types/folder.js";

/** The folder cannot be audited. */
export class GatherError extends ExplainedError {
  override readonly name = "GatherError";
}

/** One photo that cannot be read. */
export class UnreadablePhoto extends Error implements Unreadable {
  readonly reason: string;
  readonly wayOut?: string;

  /** @param options its `cause` is an error that nobody foresaw, to be shown to those who look into it */
  constructor({ reason, wayOut }: Unreadable, options?: ErrorOptions) {
    super(wayOut === undefined ? reason : `${reason}: ${wayOut}`, options);
    this.name = "UnreadablePhoto";
    this.reason = reason;
    if (wayOut !== undefined) this.wayOut = wayOut;
  }
}

/** A photo that needs more memory than its thread may take beside the others: it has to be read alone. */
export class PostponedPhoto extends Error {
  readonly bytes: number;

  constructor(bytes: number) {
    super(`it needs ${Math.ceil(bytes / 1e6)} MB to be decoded`);
    this.name = "PostponedPhoto";
    this.bytes = bytes;
  }
}

/** Ways out of what more than one file suffers from. */
export const COPY_AGAIN = "copy it again from the phone; if that fails, take it again";
export const SAVE_COPY = "save a JPEG copy";
export const TAKE_OUT = "take it out of the folder";

/** Where a file breaks off. */
export const CUT_SHORT: Unreadable = { reason: "the file ends early or is damaged", wayOut: COPY_AGAIN };
/** Where the decoder knows the kind of file and not this sort of it. */
export const STORED_OTHERWISE: Unreadable = {
  reason: "it is stored in a way that is not read here",
  wayOut: SAVE_COPY,
};
export const OUT_OF_MEMORY: Unreadable = {
  reason: "there is not enough memory to decode it",
  wayOut: "close other programs, or use fewer jobs",
};

/** A decoder's messages, and what they mean for people; the first that fits. */
export type KnownMessages = readonly (readonly [RegExp, Unreadable])[];

/** What a decoder threw, as a photo that cannot be read: by its message where that is known, else with it as cause. */
export function undecodable(error: unknown, known: KnownMessages): UnreadablePhoto {
  const message = error instanceof Error ? error.message : String(error);
  const meaning = known.find(([pattern]) => pattern.test(message))?.[1];
  if (meaning !== undefined) return new UnreadablePhoto(meaning);
  // A decoder's own words say nothing to people; they are shown to whoever looks into it.
  return new UnreadablePhoto(
    { reason: "its picture cannot be decoded", wayOut: SAVE_COPY },
    { cause: error },
  );
}

/** Text from outside made safe to print. */
export function printable(text: string): string {
  return text.replace(CONTROLS, "?");
}
