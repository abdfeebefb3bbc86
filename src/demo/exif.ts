/** What a demo photo's EXIF says: only what a phone would know. */
export interface ExifTags {
  readonly make: string;
  readonly model: string;
  readonly software: string;
  readonly lens: string;
  readonly orientation: number;
  readonly exposureTimeS: number;
  readonly fNumber: number;
  readonly iso: number;
  readonly focalLengthMm: number;
  readonly focalLength35Mm: number;
  /** Absent: the camera writes 0/1, "not used". */
  readonly digitalZoom?: number;
  readonly exposureMode: "auto" | "manual";
  readonly whiteBalance: "auto" | "manual";
  readonly flashFired: boolean;
  /** Size of the stored picture. */
  readonly widthPx: number;
  readonly heightPx: number;
  /** Local time as milliseconds of a clock that stands in UTC. */
  readonly capturedMs: number;
  /** "+02:00". */
  readonly offset: string;
  /** Degrees north and east. */
  readonly location?: { readonly latitude: number; readonly longitude: number };
}

/** Field types of TIFF 6.0 and Exif 2.32. */
type FieldType = "ascii" | "short" | "long" | "rational" | "undefined" | "signed rational" | "byte";

const typeCode: Readonly<Record<FieldType, number>> = {
  byte: 1,
  ascii: 2,
  short: 3,
  long: 4,
  rational: 5,
  undefined: 7,
  "signed rational": 10,
};
const bytesPerValue: Readonly<Record<FieldType, number>> = {
  byte: 1,
  ascii: 1,
  short: 2,
  long: 4,
  rational: 8,
  undefined: 1,
  "signed rational": 8,
};

interface Field {
  readonly tag: number;
  readonly type: FieldType;
  readonly values: readonly number[];
}

const text = (tag: number, value: string): Field => ({
  tag,
  type: "ascii",
  values: [...Buffer.from(value, "latin1"), 0],
});
const bytes = (tag: number, value: string): Field => ({
  tag,
  type: "undefined",
  values: [...Buffer.from(value, "latin1")],
});
const short = (tag: number, value: number): Field => ({ tag, type: "short", values: [value] });
const long = (tag: number, value: number): Field => ({ tag, type: "long", values: [value] });
const rational = (tag: number, ...values: readonly (readonly [number, number])[]): Field => ({
  tag,
  type: "rational",
  values: values.flat(),
});
const signedRational = (tag: number, value: readonly [number, number]): Field => ({
  tag,
  type: "signed rational",
  values: [...value],
});

const parts = (value: number, denominator: number): [number, number] => [
  Math.round(value * denominator),
  denominator,
];

/** Exposure time as cameras write it: 1/60, or a longer fraction where it is no whole part of a second. */
function exposureFraction(seconds: number): [number, number] {
  const inverse = 1 / seconds;
  const whole = Math.round(inverse);
  if (whole > 0 && Math.abs(inverse - whole) < 1e-6 * inverse) return [1, whole];
  return [10_000, Math.round(10_000 * inverse)];
}

/** Degrees, minutes and seconds of an angle without its sign. */
function sexagesimal(angle: number): readonly (readonly [number, number])[] {
  const seconds = Math.round(Math.abs(angle) * 360_000);
  return [
    [Math.floor(seconds / 360_000), 1],
    [Math.floor(seconds / 6000) % 60, 1],
    [seconds % 6000, 100],
  ];
}

function mainFields(tags: ExifTags, clock: string): Field[] {
  return [
    text(0x010f, tags.make),
    text(0x0110, tags.model),
    short(0x0112, tags.orientation),
    rational(0x011a, [72, 1]),
    rational(0x011b, [72, 1]),
    short(0x0128, 2),
    text(0x0131, tags.software),
    text(0x0132, clock),
    short(0x0213, 1),
  ];
}

function photoFields(tags: ExifTags, clock: string): Field[] {
  const subseconds = String(tags.capturedMs % 1000)
    .padStart(3, "0")
    .replace(/0$/, "");
  const focal = parts(tags.focalLengthMm, 1000);
  return [
    rational(0x829a, exposureFraction(tags.exposureTimeS)),
    rational(0x829d, parts(tags.fNumber, 100)),
    short(0x8822, tags.exposureMode === "manual" ? 1 : 2),
    short(0x8827, Math.round(tags.iso)),
    bytes(0x9000, "0232"),
    text(0x9003, clock),
    text(0x9004, clock),
    text(0x9010, tags.offset),
    text(0x9011, tags.offset),
    text(0x9012, tags.offset),
    bytes(0x9101, "\x01\x02\x03\x00"),
    signedRational(0x9201, parts(-Math.log2(tags.exposureTimeS), 10_000)),
    rational(0x9202, parts(2 * Math.log2(tags.fNumber), 10_000)),
    signedRational(0x9204, [0, 1]),
    short(0x9207, 5),
    short(0x9209, tags.flashFired ? 0x19 : 0x10),
    rational(0x920a, focal),
    text(0x9290, subseconds),
    text(0x9291, subseconds),
    text(0x9292, subseconds),
    bytes(0xa000, "0100"),
    short(0xa001, 1),
    long(0xa002, tags.widthPx),
    long(0xa003, tags.heightPx),
    short(0xa402, tags.exposureMode === "manual" ? 1 : 0),
    short(0xa403, tags.whiteBalance === "manual" ? 1 : 0),
    rational(0xa404, tags.digitalZoom === undefined ? [0, 1] : parts(tags.digitalZoom, 100)),
    short(0xa405, Math.round(tags.focalLength35Mm)),
    short(0xa406, 0),
    rational(0xa432, focal, focal, parts(tags.fNumber, 100), parts(tags.fNumber, 100)),
    text(0xa433, tags.make),
    text(0xa434, tags.lens),
  ];
}

function locationFields({ latitude, longitude }: { latitude: number; longitude: number }): Field[] {
  return [
    { tag: 0x0000, type: "byte", values: [2, 3, 0, 0] },
    text(0x0001, latitude < 0 ? "S" : "N"),
    rational(0x0002, ...sexagesimal(latitude)),
    text(0x0003, longitude < 0 ? "W" : "E"),
    rational(0x0004, ...sexagesimal(longitude)),
  ];
}

const valueCount = (field: Field): number =>
  field.type.endsWith("rational") ? field.values.length / 2 : field.values.length;
const valueBytes = (field: Field): number => valueCount(field) * bytesPerValue[field.type];
const even = (size: number): number => size + (size & 1);

/** Bytes of a directory with the values that do not fit into its entries. */
function directorySize(fields: readonly Field[]): number {
  return fields.reduce((size, field) => size + 12 + (valueBytes(field) > 4 ? even(valueBytes(field)) : 0), 6);
}

function writeValues(buffer: Buffer, at: number, field: Field): void {
  field.values.forEach((value, i) => {
    if (field.type === "short") buffer.writeUInt16BE(value, at + 2 * i);
    else if (field.type === "long" || field.type === "rational") buffer.writeUInt32BE(value, at + 4 * i);
    else if (field.type === "signed rational") buffer.writeInt32BE(value, at + 4 * i);
    else buffer.writeUInt8(value, at + i);
  });
}

/** Writes one directory at `start`, both measured from the head of the TIFF block. Fields go by rising tag. */
function writeDirectory(buffer: Buffer, start: number, fields: readonly Field[]): void {
  buffer.writeUInt16BE(fields.length, start);
  let entry = start + 2;
  let spill = start + 6 + 12 * fields.length;
  for (const field of [...fields].sort((a, b) => a.tag - b.tag)) {
    buffer.writeUInt16BE(field.tag, entry);
    buffer.writeUInt16BE(typeCode[field.type], entry + 2);
    buffer.writeUInt32BE(valueCount(field), entry + 4);
    if (valueBytes(field) <= 4) {
      writeValues(buffer, entry + 8, field);
    } else {
      buffer.writeUInt32BE(spill, entry + 8);
      writeValues(buffer, spill, field);
      spill += even(valueBytes(field));
    }
    entry += 12;
  }
}

/**
 * A whole APP1 segment with marker and length, big-endian.
 *
 * @see Exif 2.32 (CIPA DC-008-2019), 4.5 and 4.6; TIFF 6.0, section 2.
 */
export function exifSegment(tags: ExifTags): Uint8Array {
  const clock = new Date(tags.capturedMs).toISOString().slice(0, 19).replaceAll("-", ":").replace("T", " ");
  const photo = photoFields(tags, clock);
  const location = tags.location === undefined ? [] : locationFields(tags.location);
  const pointers = location.length > 0 ? 2 : 1;
  const main = mainFields(tags, clock);
  const photoStart = 8 + directorySize(main) + 12 * pointers;
  const locationStart = photoStart + directorySize(photo);
  main.push(long(0x8769, photoStart));
  if (location.length > 0) main.push(long(0x8825, locationStart));
  const end = location.length > 0 ? locationStart + directorySize(location) : locationStart;

  const head = 10;
  const segment = Buffer.alloc(head + end);
  segment.writeUInt16BE(0xffe1, 0);
  segment.writeUInt16BE(segment.length - 2, 2);
  segment.write("Exif\0\0", 4, "latin1");
  const tiff = segment.subarray(head);
  tiff.write("MM\0*", 0, "latin1");
  tiff.writeUInt32BE(8, 4);
  writeDirectory(tiff, 8, main);
  writeDirectory(tiff, photoStart, photo);
  if (location.length > 0) writeDirectory(tiff, locationStart, location);
  return segment;
}

/**
 * Puts an APP1 segment behind the start of a JPEG, in the place of its JFIF header where it has one, as phones do.
 *
 * @throws RangeError where the bytes are no JPEG.
 */
export function spliceSegment(jpeg: Uint8Array, segment: Uint8Array): Uint8Array {
  if (jpeg[0] !== 0xff || jpeg[1] !== 0xd8)
    throw new RangeError("not a JPEG: the first two bytes are not FF D8");
  const jfif = jpeg[2] === 0xff && jpeg[3] === 0xe0;
  const rest = jfif ? 4 + ((jpeg[4] << 8) | jpeg[5]) : 2;
  const out = new Uint8Array(2 + segment.length + jpeg.length - rest);
  out.set([0xff, 0xd8]);
  out.set(segment, 2);
  out.set(jpeg.subarray(rest), 2 + segment.length);
  return out;
}
