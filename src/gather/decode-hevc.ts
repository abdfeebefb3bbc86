import type { MainModule } from "libheif-js/libheif-wasm/libheif.js";
import type { RgbImage } from "../types/pixels.js";
import {
  CUT_SHORT,
  type KnownMessages,
  OUT_OF_MEMORY,
  SAVE_COPY,
  STORED_OTHERWISE,
  UnreadablePhoto,
  undecodable,
} from "./errors.js";

/** The decoder's memory never shrinks: beyond this, MiB, a new one is started for the next photo (our choice). */
const KEPT_MIB = 256;

let decoder: MainModule | undefined;

/** Starts the decoder on first use: 30 ms and 17 MiB, which folders without HEIC need not spend. */
async function startDecoder(): Promise<MainModule> {
  const { default: start } = await import("libheif-js/libheif-wasm/libheif-bundle.js");
  // It tells of damaged files on the console, where the report goes.
  const silent = (): void => {};
  return start({ print: silent, printErr: silent });
}

/**
 * Decodes the main picture of a HEIC file to 8-bit RGB, turned as the file says: HEIF keeps rotation and mirroring as
 * properties of the picture, which decoding applies, so that the EXIF orientation must not be applied once more. More
 * than 8 bits are reduced to 8, an alpha channel is dropped, a colour profile is not applied: as for other photos.
 *
 * A 12-megapixel photo (4032x3024) takes 0.6 to 0.7 s of one core and 75 MiB beside its pixels.
 * @throws UnreadablePhoto with the reason in plain words
 */
export async function decodeHevc(bytes: Uint8Array): Promise<RgbImage> {
  const heif = decoder ?? (await startDecoder());
  decoder = heif;
  try {
    return decodeMain(heif, bytes);
  } catch (error) {
    if (error instanceof UnreadablePhoto) throw error;
    // The decoder gave up in the middle of something: what it holds in memory is not to be trusted.
    decoder = undefined;
    throw undecodable(error, KNOWN);
  } finally {
    if (heif.HEAPU8.length > KEPT_MIB * 2 ** 20) decoder = undefined;
  }
}

function decodeMain(heif: MainModule, bytes: Uint8Array): RgbImage {
  const calls = new Calls(heif);
  try {
    const context = calls.owned(heif._heif_context_alloc(), heif._heif_context_free);
    calls.checked(
      heif._heif_context_read_from_memory_without_copy,
      context,
      calls.copied(bytes),
      bytes.length,
      0,
    );
    const handle = calls.owned(
      calls.result((out) => calls.checked(heif._heif_context_get_primary_image_handle, context, out)),
      heif._heif_image_handle_release,
    );
    const { heif_colorspace_RGB } = heif.heif_colorspace;
    const { heif_chroma_interleaved_RGB } = heif.heif_chroma;
    const options = calls.owned(heif._heif_decoding_options_alloc(), heif._heif_decoding_options_free);
    heif.HEAPU8[options + HDR_TO_8_BITS] = 1;
    heif.HEAPU8[options + STRICT_DECODING] = 1;
    const image = calls.owned(
      calls.result((out) =>
        calls.checked(
          heif._heif_decode_image,
          handle,
          out,
          heif_colorspace_RGB.value,
          heif_chroma_interleaved_RGB.value,
          options,
        ),
      ),
      heif._heif_image_release,
    );
    const channel = heif.heif_channel.heif_channel_interleaved.value;
    const width = heif._heif_image_get_width(image, channel);
    const height = heif._heif_image_get_height(image, channel);
    let plane = 0;
    const stride = calls.result((out) => {
      plane = heif._heif_image_get_plane_readonly(image, channel, out);
    });
    return { width, height, data: packed(heif.HEAPU8.subarray(plane), width, height, stride) };
  } finally {
    calls.release();
  }
}

/** Offsets in struct heif_decoding_options (heif_decoding.h, version 3 and later), bytes: flags of one byte each. */
const HDR_TO_8_BITS = 20;
const STRICT_DECODING = 21;
/** Size of struct heif_error (heif_error.h): two codes and a pointer to a message. */
const ERROR_BYTES = 12;

/** Calls of the decoder's C interface, and all that has to be given back after them. */
class Calls {
  readonly #heif: MainModule;
  readonly #release: (() => void)[] = [];

  constructor(heif: MainModule) {
    this.#heif = heif;
  }

  /** A pointer that is given back at the end. */
  owned(pointer: number, free: (pointer: number) => void): number {
    if (pointer === 0) throw new UnreadablePhoto(OUT_OF_MEMORY);
    this.#release.push(() => free(pointer));
    return pointer;
  }

  copied(bytes: Uint8Array): number {
    const pointer = this.#memory(bytes.length);
    this.#heif.HEAPU8.set(bytes, pointer);
    return pointer;
  }

  /** The 32-bit number that a call writes to where it is told. */
  result(call: (out: number) => void): number {
    const out = this.#memory(4);
    call(out);
    return this.#heif.HEAPU32[out >> 2];
  }

  /** @throws UnreadablePhoto where the call returns an error */
  checked(call: (error: number, ...rest: number[]) => void, ...rest: number[]): void {
    const error = this.#memory(ERROR_BYTES);
    call(error, ...rest);
    const [code, , message] = this.#heif.HEAPU32.subarray(error >> 2, (error >> 2) + 3);
    if (code !== 0) throw undecodable(this.#text(message), KNOWN);
  }

  /** In the opposite order. */
  release(): void {
    for (const free of this.#release.reverse()) free();
  }

  #memory(bytes: number): number {
    return this.owned(this.#heif._malloc(bytes), this.#heif._free);
  }

  #text(pointer: number): string {
    const heap: Uint8Array = this.#heif.HEAPU8;
    return Buffer.from(heap.subarray(pointer, heap.indexOf(0, pointer))).toString("latin1");
  }
}

/** Rows copied out of the decoder's memory, without the gaps between them. */
function packed(plane: Uint8Array, width: number, height: number, stride: number): Uint8Array {
  const row = 3 * width;
  const out = new Uint8Array(row * height);
  if (stride === row) out.set(plane.subarray(0, out.length));
  else for (let y = 0; y < height; y++) out.set(plane.subarray(y * stride, y * stride + row), y * row);
  return out;
}

/** libheif (error.cc) begins a message with what its code says. What is declared beyond its limits is among several. */
const KNOWN: KnownMessages = [
  [/security limit|exceed/i, { reason: "it declares more than a photo can hold", wayOut: SAVE_COPY }],
  [/^Unsupported/, STORED_OTHERWISE],
  // A size of 0 comes as a memory error.
  [/^(?:Invalid input|Decoder plugin generated an error)|Invalid image size/, CUT_SHORT],
  [/^Memory allocation error|Aborted\(OOM\)/, OUT_OF_MEMORY],
];
