import { execFileSync, spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, it } from "vitest";
import { kindFromBytes } from "#goodgate/gather/kind.js";
import { jpegPicture } from "#goodgate/ready/jpeg.js";
import { pngPicture } from "#goodgate/ready/png.js";
import { NotPrepared, preparePhoto } from "#goodgate/ready/prepare-photo.js";
import { webpPicture } from "#goodgate/ready/webp.js";
import { dataFolder, describeWithData } from "../support/data.js";

type Tags = Record<string, string | number>;

/** What must not be left, as exiftool names it. */
const PRIVATE =
  /^(?:GPS|XMP|IPTC|Photoshop|MakerNotes|IFD1|SubIFD|MPF|MPImage|FlashPix|PrintIM|InteropIFD|CIFF|Jpeg2000|APP)|Serial|Owner|Artist|Author|By-line|Copyright|Comment|GPS|Location(?!Dest)|UniqueID|Thumbnail|HostComputer|ImageDescription/i;
/** What the checks and an upload go by. */
const KEPT =
  /^(?:IFD0|ExifIFD):(?:Make|Model|Orientation|Software|ModifyDate|ExposureTime|FNumber|ExposureProgram|ISO|DateTimeOriginal|OffsetTimeOriginal|SubSecTimeOriginal|ExposureCompensation|Flash|FocalLength|FocalLengthIn35mmFormat|ExposureMode|WhiteBalance|DigitalZoomRatio|LensModel|ColorSpace|SubjectDistance)$/;

const OPTIONS = { keepPrivate: false, toJpeg: false };
const folder = mkdtempSync(join(tmpdir(), "goodgate-private-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Every JPEG, PNG and WebP file of the test data, hostile ones too. */
function realFiles(): string[] {
  const root = dataFolder()!;
  return (
    readdirSync(root, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && /\.(?:jpe?g|png|webp|mpo)$/i.test(entry.name))
      .map((entry) => join(entry.parentPath, entry.name))
      // Large pictures of one sort, and of no camera.
      .filter((path) => !/libjxl-testdata\/external|doxygen|\/html\//.test(path))
      .filter((path) => ["jpeg", "png", "webp"].includes(kindFromBytes(readFileSync(path)) ?? ""))
      .sort()
  );
}

/** All tags of all files of a folder, as exiftool reads them, by file name. */
function tagsIn(files: readonly string[]): Map<string, Tags> {
  const list = join(folder, "list.txt");
  writeFileSync(list, files.join("\n"));
  const { stdout } = spawnSync("exiftool", ["-j", "-n", "-a", "-G1", "-@", list], {
    encoding: "utf8",
    maxBuffer: 1 << 28,
  });
  return new Map(
    (JSON.parse(stdout) as (Tags & { SourceFile: string })[]).map(({ SourceFile, ...tags }) => [
      SourceFile,
      tags,
    ]),
  );
}

const pictures = { jpeg: jpegPicture, png: pngPicture, webp: webpPicture };

describeWithData("private tags of real files", () => {
  it("are gone as exiftool reads them, the others stay, and the picture's bytes are the same", async () => {
    expect(execFileSync("exiftool", ["-ver"], { encoding: "utf8" })).toMatch(/^\d/);
    const cleaned = new Map<string, string>();
    const refused: string[] = [];
    mkdirSync(join(folder, "out"));
    for (const [k, path] of realFiles().entries()) {
      const bytes = new Uint8Array(readFileSync(path));
      const kind = kindFromBytes(bytes) as keyof typeof pictures;
      try {
        const prepared = await preparePhoto(path, bytes, undefined, OPTIONS);
        const out = join(folder, "out", `${k}.${kind}`);
        writeFileSync(out, prepared.bytes);
        cleaned.set(path, out);
        expect(Buffer.compare(pictures[kind](bytes), pictures[kind](prepared.bytes)), path).toBe(0);
      } catch (error) {
        if (!(error instanceof NotPrepared)) throw error;
        refused.push(path);
      }
    }
    // Hostile files are refused; most are whole.
    expect(cleaned.size).toBeGreaterThan(150);
    expect(refused.length).toBeLessThan(cleaned.size / 3);
    const before = tagsIn([...cleaned.keys()]);
    const after = tagsIn([...cleaned.values()]);
    const left: string[] = [];
    const changed: string[] = [];
    let kept = 0;
    for (const [path, out] of cleaned) {
      const now = after.get(out) ?? {};
      for (const [name, value] of Object.entries(now)) {
        const isProfile = /^(?:ICC|System|File|ExifTool|Composite)/.test(name);
        if (!isProfile && PRIVATE.test(name)) left.push(`${path}: ${name} ${String(value).slice(0, 40)}`);
      }
      for (const [name, value] of Object.entries(before.get(path) ?? {})) {
        if (!KEPT.test(name)) continue;
        kept++;
        if (now[name] !== value) changed.push(`${path}: ${name} ${value} -> ${now[name]}`);
      }
    }
    expect(left).toEqual([]);
    expect(kept).toBeGreaterThan(1000);
    expect(changed).toEqual([]);
  }, 300_000);
});
