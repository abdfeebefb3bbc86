import { createHash } from "node:crypto";
import { deserialize, serialize } from "node:v8";

/** A file's first bytes; the number rises where the layout changes. */
const MARK = Buffer.from("goodgate box 1\n");
const HASH_BYTES = 32;

/** A value as it goes to a file: a mark, the SHA-256 of what follows, and the value. Typed arrays stay such. */
export function box(value: unknown): Buffer {
  const content = serialize(value);
  return Buffer.concat([MARK, sha256(content), content]);
}

/** What {@link box} was given; undefined where the bytes are not whole, or were written by something else. */
export function unbox(bytes: Buffer): unknown {
  const start = MARK.length + HASH_BYTES;
  if (bytes.length < start || !bytes.subarray(0, MARK.length).equals(MARK)) return undefined;
  const content = bytes.subarray(start);
  if (!bytes.subarray(MARK.length, start).equals(sha256(content))) return undefined;
  try {
    return deserialize(content);
  } catch {
    // Whole, but of another version of Node.
    return undefined;
  }
}

function sha256(content: Buffer): Buffer {
  return createHash("sha256").update(content).digest();
}
