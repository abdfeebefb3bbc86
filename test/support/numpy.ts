import { readFileSync } from "node:fs";
import { inflateRawSync } from "node:zlib";

/** A two-dimensional array of 32-bit or 64-bit floats. */
export interface FloatTable {
  readonly rows: number;
  readonly columns: number;
  readonly data: Float32Array | Float64Array;
}

/**
 * First array of a NumPy .npz archive (a zip of .npy files).
 *
 * @throws Error for anything but a little-endian, row-major, two-dimensional float array
 * @see NumPy Enhancement Proposal 1 for the .npy header; PKWARE APPNOTE 4.3.12 for the central directory
 */
export function readNpz(file: string): FloatTable {
  const bytes = readFileSync(file);
  const end = bytes.lastIndexOf(Buffer.from("PK\x05\x06", "latin1"));
  const entry = bytes.readUInt32LE(end + 16);
  const method = bytes.readUInt16LE(entry + 10);
  const packed = bytes.readUInt32LE(entry + 20);
  const local = bytes.readUInt32LE(entry + 42);
  const start = local + 30 + bytes.readUInt16LE(local + 26) + bytes.readUInt16LE(local + 28);
  const body = bytes.subarray(start, start + packed);
  const npy = method === 0 ? body : inflateRawSync(body);
  const headerLength = npy[6] === 1 ? npy.readUInt16LE(8) : npy.readUInt32LE(8);
  const at = (npy[6] === 1 ? 10 : 12) + headerLength;
  const header = npy.subarray(0, at).toString("latin1");
  const kind = /'descr': '<f([48])'/.exec(header);
  const shape = /'shape': \((\d+), (\d+)\)/.exec(header);
  if (kind === null || shape === null || !header.includes("'fortran_order': False")) {
    throw new Error(`expected a two-dimensional float array, found ${header.slice(10)}`);
  }
  const [rows, columns] = [Number(shape[1]), Number(shape[2])];
  const data = Uint8Array.from(npy.subarray(at, at + rows * columns * Number(kind[1]))).buffer;
  return { rows, columns, data: kind[1] === "4" ? new Float32Array(data) : new Float64Array(data) };
}
