/**
 * Writes docs/files.md: what the audit makes of every kind of file, measured on real ones.
 * usage: node build/test/files/write-page.js     (needs the test data; 5 minutes, each hostile file in its own process)
 */
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";
import { decodePhoto, MAX_HEVC_MEGAPIXELS, MAX_MEGAPIXELS } from "#goodgate/gather/decode.js";
import { MAX_FILE_MIB } from "#goodgate/gather/read-file.js";
import { PHOTO_LIMIT_S } from "#goodgate/gather/time-limit.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import { readPhoto } from "#goodgate/pipeline/read-photo.js";
import { dataBytes, dataFolder, dataPath } from "../support/data.js";
import { EXCEPTIONS } from "../support/exif-exceptions.js";
import { noStore } from "../support/store.js";
import { encodings, measureEncoding, ORIGINAL } from "./encodings.js";
import { GUISES, hostileFiles } from "./hostile.js";
import { kinds } from "./real-files.js";
import { told } from "./told.js";

const data = dataFolder();
if (data === undefined) throw new Error("no test data: run test/fetch-test-data.sh");
const PAGE = fileURLToPath(new URL("../../../docs/files.md", import.meta.url));
const expected: {
  readonly exiftool: string;
  readonly files: Readonly<Record<string, object>>;
} = JSON.parse(readFileSync(new URL("../../../fixtures/exif/expected.json", import.meta.url), "utf8"));
const PROBE = fileURLToPath(new URL("probe.js", import.meta.url));

const row = (...cells: readonly (string | number)[]): string => `| ${cells.join(" | ")} |`;
const table = (head: readonly string[], rows: readonly string[]): string =>
  [row(...head), row(...head.map(() => "---")), ...rows].join("\n");
const percent = (value: number, decimals = 2): string => (100 * value).toFixed(decimals);
const change = (value: number, from: number): string => {
  const share = 100 * (value / from - 1);
  return `${share > 0 ? "+" : ""}${share.toFixed(1)}`;
};

interface Probe {
  readonly told: string;
  readonly ms: number;
  /** Of the whole process, its start included. */
  readonly cpuMs: number;
  readonly peakMib: number;
}

function probe(path: string, name: string): Probe {
  try {
    const out = execFileSync(process.execPath, [PROBE, path, name], { encoding: "utf8", timeout: 120_000 });
    return JSON.parse(out);
  } catch (error) {
    return {
      told: `FAILED: ${(error as Error).message.split("\n")[0]}`,
      ms: Number.NaN,
      cpuMs: Number.NaN,
      peakMib: Number.NaN,
    };
  }
}

/** A JPEG of the largest size that is read, of noise. */
async function atLimit(): Promise<Probe> {
  const folder = mkdtempSync(join(tmpdir(), "goodgate-"));
  try {
    const path = join(folder, "big.jpg");
    const [width, height] = [16_000, (MAX_MEGAPIXELS * 1e6) / 16_000];
    const noise = { type: "gaussian", mean: 128, sigma: 20 } as const;
    await sharp({ create: { width, height, channels: 3, background: "#777", noise } })
      .jpeg({ quality: 60 })
      .toFile(path);
    return probe(path, "big.jpg");
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function kindRows(): Promise<string[]> {
  const rows: string[] = [];
  for (const { what, files } of kinds) {
    for (const [i, file] of files.entries()) {
      const result = await readPhoto({ file: basename(file), path: join(data!, file) }, noStore);
      rows.push(row(i === 0 ? what : "", `\`${basename(file)}\``, told(result)));
    }
  }
  return rows;
}

async function encodingRows(): Promise<string[]> {
  const original = await measureEncoding(ORIGINAL);
  const rows = [
    row(
      "PNG, the original",
      original.laplacianVariance.toFixed(2),
      "",
      original.bandRatio.toFixed(4),
      "",
      percent(original.clippedAny),
      "",
    ),
  ];
  for (const { file, what, cause } of encodings) {
    const { laplacianVariance, bandRatio, clippedAny } = await measureEncoding(file);
    rows.push(
      row(
        what,
        laplacianVariance.toFixed(2),
        change(laplacianVariance, original.laplacianVariance),
        bandRatio.toFixed(4),
        change(bandRatio, original.bandRatio),
        percent(clippedAny),
        cause,
      ),
    );
  }
  return rows;
}

/** One photo as sRGB and converted into a wide-gamut space: what leaving the profile out of account does. */
async function gamutRows(): Promise<string[]> {
  const source = Buffer.from(dataBytes("flower", ORIGINAL));
  const measured = async (bytes: Buffer) => measurePhoto(await decodePhoto(bytes), 1).measures;
  const before = await measured(source);
  const after = await measured(
    await sharp(source).withIccProfile("p3").png({ compressionLevel: 1 }).toBuffer(),
  );
  const difference = (name: "meanLuminanceStops" | "redGreenStops" | "blueGreenStops"): string =>
    (after[name].value - before[name].value).toFixed(3);
  return [
    row(
      "variance of the Laplacian",
      `${change(after.laplacianVariance.value, before.laplacianVariance.value)} %`,
    ),
    row("fine over mid detail", `${change(after.bandRatio?.value ?? 0, before.bandRatio?.value ?? 1)} %`),
    row(
      "pixels with a channel at the top",
      `${percent(after.clippedAnyRatio.value - before.clippedAnyRatio.value)} points`,
    ),
    row("mean luminance", `${difference("meanLuminanceStops")} stops`),
    row("red over green", `${difference("redGreenStops")} stops`),
    row("blue over green", `${difference("blueGreenStops")} stops`),
  ];
}

interface Hostile {
  readonly rows: string[];
  readonly files: number;
  readonly slowest: string;
  readonly largest: string;
}

function hostile(): Hostile {
  const files = hostileFiles();
  const groups = new Map<string, Probe[]>();
  let [slowest, largest] = [
    { ms: 0, of: "" },
    { mib: 0, of: "" },
  ];
  for (const name of GUISES) {
    for (const file of files) {
      const found = probe(join(data!, file), name);
      const said = found.told.startsWith("cannot")
        ? found.told
        : found.told.replace(/^.*? px.*$/s, "is measured");
      const key = JSON.stringify([name === GUISES[0] ? "by content" : "as raw", said]);
      groups.set(key, [...(groups.get(key) ?? []), found]);
      if (!(found.ms <= slowest.ms)) slowest = { ms: found.ms, of: basename(file) };
      if (!(found.peakMib <= largest.mib)) largest = { mib: found.peakMib, of: basename(file) };
    }
  }
  const most = (values: number[]): string => Math.max(...values).toFixed(0);
  const rows = [...groups]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([key, probes]) => {
      const [way, said] = JSON.parse(key) as [string, string];
      return row(
        way,
        said,
        probes.length,
        most(probes.map(({ ms }) => ms)),
        most(probes.map(({ peakMib }) => peakMib)),
      );
    });
  return {
    rows,
    files: files.length,
    slowest: `${slowest.ms.toFixed(0)} ms (${slowest.of})`,
    largest: `${largest.mib.toFixed(0)} MiB (${largest.of})`,
  };
}

const exifFiles = Object.values(expected.files);
const withExif = exifFiles.filter((found) => Object.keys(found).length > 0).length;
const phone = probe(dataPath("exiv2", "IMG_3578.heic"), "IMG_3578.heic");
const big = await atLimit();
const { rows: hostileRows, files: hostileCount, slowest, largest } = hostile();

const page = `# What can be read

Written by \`node build/test/files/write-page.js\` on real files of public packages (\`test/fetch-test-data.sh\`); the times
are those of the machine it ran on.

| Kind | What is judged | Tried on real files |
| --- | --- | --- |
| JPEG | the main picture; baseline, progressive, arithmetic, restart markers, grey, RGB, CMYK; not 12 bits a sample | yes |
| HEIC, HEIF | the main picture, turned as the file says; more than 8 bits are reduced to 8 | yes |
| AVIF | the same | yes |
| PNG, WebP, TIFF | 8 and 16 bits, grey, alpha dropped; the first of several pictures | yes |
| DNG, CR3 | the largest JPEG inside, with the EXIF of the raw file | yes: a DNG cut before its pixels, a CR3 with its preview |
| CR2, NEF, ARW, ORF, RW2, RAF | the same | **not tried on real files**: minimal files made by hand |
| other raw kinds | the largest JPEG found anywhere inside, if any | not tried on real files |
| JPEG XL, JPEG 2000, BMP | nothing: each is a finding that asks for a JPEG copy | |

- A raw file beside a JPEG or HEIC of the same name counts as the same shot, and is left alone. Videos and sidecar files
  (AAE, XMP, THM and others) are left alone and counted.
- Content counts, not the name: a HEIC named .jpg is read as HEIC. A file that is not named as a photo is not opened.
- A preview is compared in sharpness only with previews of the same size.
- Damage inside a HEIC's picture data does not always show, since nothing in the file tells it from a picture; what is cut
  short or missing does. Damage in a JPEG mostly does.

## Limits

| What | Limit | Beyond it |
| --- | --- | --- |
| size that a file declares | ${MAX_MEGAPIXELS} megapixels, HEIC ${MAX_HEVC_MEGAPIXELS} | refused before any pixel is made |
| file | ${MAX_FILE_MIB} MiB | refused before it is read |
| time to read, decode and measure one photo | ${PHOTO_LIMIT_S} s, more where threads outnumber cores | the thread is ended, another takes over, the photo is a finding |

A JPEG of ${MAX_MEGAPIXELS} megapixels takes ${(big.cpuMs / 1000).toFixed(1)} s of one core to read and measure in a process of its own, which peaks at
${big.peakMib.toFixed(0)} MiB; a HEIC of 12 takes ${(phone.cpuMs / 1000).toFixed(1)} s and ${phone.peakMib.toFixed(0)} MiB.

## Real files

${table(["Kind", "File", "What the audit says"], await kindRows())}

## EXIF against exiftool

Every tag that is used equals what exiftool ${expected.exiftool} reads, in all ${exifFiles.length} files (${withExif} have some), but for these
(\`test/gather/exif-real.test.ts\`):

${table(
  ["File", "Fields", "Why"],
  Object.entries(EXCEPTIONS).map(([file, { fields, why }]) =>
    row(`\`${basename(file)}\``, fields.join(", "), why),
  ),
)}

## One photo in many encodings

Differences are against the PNG that all were made from. Encodings of one frame agree within 1 % in sharpness and 0.2
points in clipping, and with the PNG within 4 % and 0.5 points (\`test/files/files.test.ts\`).

${table(
  [
    "Encoding",
    "variance of the Laplacian",
    "change, %",
    "fine over mid detail",
    "change, %",
    "a channel at the top, %",
    "cause",
  ],
  await encodingRows(),
)}

All eight orientations of one photo give the same measures (the same test).

## Wide-gamut colour profiles

Profiles are not applied: one set comes from one camera, which stores all its photos in one space. Where a set mixes
spaces, or is held against a set of another space, this is the difference, on the same photo stored as sRGB and as Display
P3:

${table(["Measure", "P3 against sRGB"], await gamutRows())}

## Hostile files

${hostileCount} files that other projects keep because they once crashed a program that read them (exiv2's poc, crash, issue and cve
files, and the fuzzing corpus of libheif), each read in a process of its own under the name of a JPEG and of a DNG. The
slowest took ${slowest}; the largest process peaked at ${largest}.

${table(["Read", "What the audit says", "Files", "Longest, ms", "Most memory, MiB"], hostileRows)}
`;
writeFileSync(PAGE, page);
console.log(`wrote ${PAGE}`);
