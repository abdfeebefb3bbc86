import { createHash } from "node:crypto";
import { deserialize, serialize } from "node:v8";

/** A file's first bytes; the number rises where the layout changes. */
const MARK = Buffer.from("goodgate box 2\n");
const HASH_BYTES = 32;
const START = MARK.length + 2 * HASH_BYTES;

/**
 * A value as it goes to a file: a mark, the key it is stored under, the SHA-256 of key and content, and the content. Typed
 * arrays stay such.
 * @param key 32 bytes
 */
export function box(key: Buffer, value: unknown): Buffer {
  const content = serialize(value);
  return Buffer.concat([MARK, key, sha256(key, content), content]);
}

/**
 * What {@link box} was given with the same key; undefined where the bytes are not whole, were stored under another key, or
 * were written by something else.
 */
export function unbox(key: Buffer, bytes: Buffer): unknown {
  if (bytes.length < START || !bytes.subarray(0, MARK.length).equals(MARK)) return undefined;
  if (!bytes.subarray(MARK.length, MARK.length + HASH_BYTES).equals(key)) return undefined;
  const content = bytes.subarray(START);
  if (!bytes.subarray(MARK.length + HASH_BYTES, START).equals(sha256(key, content))) return undefined;
  try {
    return deserialize(content);
  } catch {
    // Whole, but of another version of Node.
    return undefined;
  }
}

function sha256(...parts: readonly Buffer[]): Buffer {
  const hash = createHash("sha256");
  for (const part of parts) hash.update(part);
  return hash.digest();
}
