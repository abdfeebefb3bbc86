/** One box of the ISO base media file format, which HEIF, AVIF and CR3 are made of. */
export interface Box {
  /** Four letters. */
  readonly type: string;
  /** What is in it, without its head; cut where the file ends before the box does. */
  readonly body: Uint8Array;
  /** For a box of type "uuid" the sixteen bytes that name it, hex; they are not part of the body. */
  readonly uuid?: string;
}

/** Far more boxes in one level than any camera writes; a hostile file may hold millions of empty ones. */
const MOST_BOXES = 4096;

/**
 * The boxes that stand one after another in `bytes` (ISO/IEC 14496-12, 4.2). A size that makes no sense ends the list.
 */
export function boxesIn(bytes: Uint8Array): Box[] {
  const view = viewOf(bytes);
  const boxes: Box[] = [];
  for (let at = 0; at + 8 <= bytes.length && boxes.length < MOST_BOXES; ) {
    let size = view.getUint32(at);
    let head = 8;
    if (size === 0) size = bytes.length - at;
    else if (size === 1 && at + 16 <= bytes.length) {
      size = Number(view.getBigUint64(at + 8));
      head = 16;
    }
    if (size < head) break;
    const type = latin1(bytes.subarray(at + 4, at + 8));
    const rest = bytes.subarray(at + head, Math.min(bytes.length, at + size));
    boxes.push(
      type === "uuid"
        ? { type, uuid: hex(rest.subarray(0, 16)), body: rest.subarray(16) }
        : { type, body: rest },
    );
    at += size;
  }
  return boxes;
}

/** The first box of a type. */
export function boxOf(boxes: readonly Box[], type: string): Uint8Array | undefined {
  return boxes.find((box) => box.type === type)?.body;
}

/** Bytes as text, one character each. */
export function latin1(bytes: Uint8Array): string {
  return String.fromCharCode(...bytes);
}

function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** A view for numbers of more than a byte. */
export function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
