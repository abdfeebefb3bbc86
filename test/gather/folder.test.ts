import { execFileSync } from "node:child_process";
import { chmodSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { GatherError } from "#goodgate/gather/errors.js";
import { listFolder } from "#goodgate/gather/folder.js";
import { kindFromBytes, kindFromName, kindOf } from "#goodgate/gather/kind.js";
import { readPhotoFile } from "#goodgate/gather/read-file.js";
import { jpeg, png, quarters, tiff, webp } from "../support/pictures.js";

let folder: string;
beforeEach(() => {
  folder = join(mkdtempSync(join(tmpdir(), "goodgate-")), "stoneware jug");
  mkdirSync(folder);
});
afterEach(() => rmSync(join(folder, ".."), { recursive: true, force: true }));

const put = (name: string, content: string | Uint8Array = "x"): void =>
  writeFileSync(join(folder, name), content);
const ftyp = (brand: string): Uint8Array =>
  new Uint8Array(Buffer.from(`\0\0\0\x18ftyp${brand}\0\0\0\0mif1${brand}`, "latin1"));

async function refused(path: string): Promise<GatherError> {
  const error = await listFolder(path).then(
    () => undefined,
    (thrown: unknown) => thrown,
  );
  expect(error).toBeInstanceOf(GatherError);
  return error as GatherError;
}

describe("listing a folder", () => {
  it("names every kind of photo, in natural order, and counts the rest", async () => {
    put("jug10.jpg", await jpeg(quarters()));
    put("jug9.JPEG", await jpeg(quarters()));
    put("lamp.png", await png(quarters()));
    put("lamp.webp", await webp(quarters()));
    put("toad.tif", await tiff(quarters()));
    put("toad.heic", ftyp("heic"));
    put("urn.dng", "II*\0");
    put("notes.txt");
    put("way round.mov");
    const { photos: listed, ...rest } = await listFolder(folder);
    for (const { identity } of listed) expect(identity).toMatch(/^\d+:\d+$/);
    expect({ ...rest, photos: listed.map(({ identity: _, ...photo }) => photo) }).toEqual({
      name: "stoneware jug",
      photos: [
        { file: "jug9.JPEG", path: join(folder, "jug9.JPEG"), kind: "jpeg" },
        { file: "jug10.jpg", path: join(folder, "jug10.jpg"), kind: "jpeg" },
        { file: "lamp.png", path: join(folder, "lamp.png"), kind: "png" },
        { file: "lamp.webp", path: join(folder, "lamp.webp"), kind: "webp" },
        { file: "toad.heic", path: join(folder, "toad.heic"), kind: "heic" },
        { file: "toad.tif", path: join(folder, "toad.tif"), kind: "tiff" },
        { file: "urn.dng", path: join(folder, "urn.dng"), kind: "raw" },
      ],
      otherFiles: 2,
    });
  });

  it("believes the content where a name is wrong, and keeps a photo that is none", async () => {
    put("a.jpg", ftyp("heic"));
    put("b.heic", await jpeg(quarters()));
    put("c.png", await jpeg(quarters()));
    put("text.jpg", "This is the list of props.");
    put("zero.jpg", "");
    const { photos } = await listFolder(folder);
    expect(photos.map(({ file, kind }) => [file, kind])).toEqual([
      ["a.jpg", "heic"],
      ["b.heic", "jpeg"],
      ["c.png", "jpeg"],
      ["text.jpg", "jpeg"],
      ["zero.jpg", "jpeg"],
    ]);
  });

  it("passes over hidden and system files without counting them", async () => {
    put("jug.jpg");
    put(".DS_Store");
    put("._jug.jpg");
    put("Thumbs.db");
    put("desktop.ini");
    mkdirSync(join(folder, "__MACOSX"));
    expect(await listFolder(folder)).toMatchObject({ photos: [{ file: "jug.jpg" }], otherFiles: 0 });
  });

  it("counts live videos and sidecars, and a raw file beside its JPEG or HEIC as one shot", async () => {
    put("IMG_1.JPG", await jpeg(quarters()));
    put("img_1.dng", "II*\0");
    put("IMG_1.mov");
    put("IMG_1.aae");
    put("IMG_1.JPG.xmp");
    put("IMG_2.heic", ftyp("heic"));
    put("IMG_2.MP4");
    put("IMG_3.dng", "II*\0");
    put("way round.mov");
    const listing = await listFolder(folder);
    expect(listing.photos.map(({ file }) => file)).toEqual(["IMG_1.JPG", "IMG_2.heic", "IMG_3.dng"]);
    expect(listing.otherFiles).toBe(5);
    expect(listing.leftAlone).toEqual({
      rawBeside: ["img_1.dng"],
      liveVideos: 2,
      sidecars: 2,
      photosInside: 0,
      foldersInside: 0,
      closedFolders: [],
    });
  });

  it("does not enter folders, follows links to files, keeps links to nothing as photos", async () => {
    mkdirSync(join(folder, "old.jpg"));
    put("jug.jpg", await jpeg(quarters()));
    symlinkSync("jug.jpg", join(folder, "link.jpg"));
    symlinkSync("gone.jpg", join(folder, "broken.jpg"));
    symlinkSync("loop.jpg", join(folder, "loop.jpg"));
    const { photos } = await listFolder(folder);
    expect(photos.map(({ file }) => file)).toEqual(["broken.jpg", "jug.jpg", "link.jpg", "loop.jpg"]);
  });

  it("tells links to one file by its identity", async () => {
    put("a.jpg", await jpeg(quarters()));
    symlinkSync("a.jpg", join(folder, "b.jpg"));
    put("c.jpg", await jpeg(quarters()));
    const [a, b, c] = (await listFolder(folder)).photos.map(({ identity }) => identity);
    expect([a === b, a === c]).toEqual([true, false]);
  });

  it.skipIf(process.platform === "win32")("never opens a pipe, even one named .jpg", async () => {
    put("jug.jpg");
    execFileSync("mkfifo", [join(folder, "pipe.jpg")]);
    expect(await listFolder(folder)).toMatchObject({ photos: [{ file: "jug.jpg" }], otherFiles: 1 });
  });

  it("takes names in any script, composed and decomposed letters as two names", async () => {
    const names = ["кувшин 1.jpg", "陶器.jpg", "إبريق.jpg", "jug 'quoted' $1.jpg", "🏺.jpg"];
    const eacute = "cruche \u00e9.jpg";
    for (const name of [...names, eacute.normalize("NFC"), eacute.normalize("NFD")]) put(name);
    const { photos } = await listFolder(folder);
    const found = photos.map(({ file }) => file);
    // A file system may hold the two forms for one name.
    expect(found.length).toBeGreaterThanOrEqual(names.length + 1);
    expect(found).toEqual(expect.arrayContaining(names));
    for (const { path } of photos) expect((await readPhotoFile(path)).bytes).toHaveLength(1);
  });

  it.skipIf(process.platform !== "linux")("shows a name that is no UTF-8, and can open it", async () => {
    const bytes = Buffer.concat([Buffer.from(`${folder}/`), Buffer.from("Krug \xe4.jpg", "latin1")]);
    writeFileSync(bytes, "xyz");
    const { photos } = await listFolder(folder);
    expect(photos.map(({ file }) => file)).toEqual(["Krug \\xe4.jpg"]);
    expect((await readPhotoFile(photos[0].path)).bytes).toHaveLength(3);
    // Nor is it taken for the same name in UTF-8.
    put("Krug ä.jpg", "wxyz");
    const both = await listFolder(folder);
    expect(both.photos.map(({ file }) => file).sort()).toEqual(["Krug \\xe4.jpg", "Krug ä.jpg"]);
    const lengths = both.photos.map(async ({ file, path }) => [
      file,
      (await readPhotoFile(path)).bytes.length,
    ]);
    expect(Object.fromEntries(await Promise.all(lengths))).toEqual({ "Krug \\xe4.jpg": 3, "Krug ä.jpg": 4 });
  });

  it("gives its own name for a path that ends in a slash or a dot", async () => {
    put("jug.jpg");
    expect((await listFolder(`${folder}/`)).name).toBe("stoneware jug");
    expect((await listFolder(`${folder}/.`)).name).toBe("stoneware jug");
  });

  it("stops when told to", async () => {
    put("jug.jpg");
    await expect(listFolder(folder, { signal: AbortSignal.abort() })).rejects.toThrow(/abort/i);
  });
});

describe("folders inside", () => {
  const inside = (name: string): void => {
    mkdirSync(join(folder, name), { recursive: true });
  };
  const filesOf = async (): Promise<string[]> =>
    (await listFolder(folder, { recursive: true })).photos.map(({ file }) => file);

  it("are not entered unless asked, and the photos in them are counted", async () => {
    inside("ring 1/more");
    inside("ring 2");
    inside("empty");
    inside(".trash");
    for (const file of ["jug.jpg", "ring 1/a.jpg", "ring 1/b.HEIC", "ring 1/more/c.jpg", ".trash/d.jpg"])
      put(file);
    put("ring 2/notes.txt");
    const listing = await listFolder(folder);
    expect(listing.photos.map(({ file }) => file)).toEqual(["jug.jpg"]);
    expect(listing.leftAlone).toMatchObject({ photosInside: 3, foldersInside: 2 });
  });

  it("are entered where asked, in natural order, without hidden ones", async () => {
    inside("ring 10");
    inside("ring 9/deeper");
    inside(".trash");
    inside("@eaDir");
    for (const file of ["z.jpg", "ring 10/a.jpg", "ring 9/b.jpg", "ring 9/deeper/c.jpg"]) put(file);
    for (const file of [".trash/d.jpg", "@eaDir/e.jpg"]) put(file);
    expect(await filesOf()).toEqual(["ring 9/b.jpg", "ring 9/deeper/c.jpg", "ring 10/a.jpg", "z.jpg"]);
    expect((await listFolder(folder, { recursive: true })).leftAlone).toBeUndefined();
  });

  it("are entered once each, whichever links lead to them or back", async () => {
    inside("ring");
    put("ring/a.jpg");
    symlinkSync("ring", join(folder, "again"));
    symlinkSync("..", join(folder, "ring", "up"));
    symlinkSync(".", join(folder, "self"));
    symlinkSync("gone", join(folder, "nowhere"));
    const elsewhere = join(folder, "..", "elsewhere");
    mkdirSync(elsewhere);
    writeFileSync(join(elsewhere, "b.jpg"), "x");
    symlinkSync(elsewhere, join(folder, "card"));
    expect(await filesOf()).toEqual(["card/b.jpg", "ring/a.jpg"]);
  });

  it("raw files pair up with photos of the same folder only", async () => {
    inside("raw");
    put("a.jpg", await jpeg(quarters()));
    put("raw/a.dng", "II*\0");
    expect(await filesOf()).toEqual(["a.jpg", "raw/a.dng"]);
  });

  it("with nothing in any of them say so", async () => {
    inside("ring");
    await expect(listFolder(folder, { recursive: true })).rejects.toThrow("is empty");
  });

  // The superuser may read everything, so there is nothing to see then.
  it.skipIf(process.getuid?.() === 0)("that may not be looked into are named, not passed over", async () => {
    inside("closed");
    put("jug.jpg");
    chmodSync(join(folder, "closed"), 0);
    try {
      const { leftAlone } = await listFolder(folder, { recursive: true });
      expect(leftAlone?.closedFolders).toEqual(["closed"]);
    } finally {
      chmodSync(join(folder, "closed"), 0o700);
    }
  });
});

describe("a folder that cannot be audited", () => {
  it("that is missing says so", async () => {
    const error = await refused(join(folder, "nowhere"));
    expect(error.found).toContain("nowhere does not exist");
    expect(error.message).toBe(`Expected ${error.expected}, but ${error.found}: ${error.nextStep}.`);
  });

  it("that is a file says to give the folder", async () => {
    put("jug.jpg");
    const error = await refused(join(folder, "jug.jpg"));
    expect(error.found).toContain("is a single file");
    expect(error.nextStep).toBe("give the folder that holds it");
  });

  it("that is empty says so, hidden files or not", async () => {
    expect((await refused(folder)).found).toContain("is empty");
    put(".DS_Store");
    expect((await refused(folder)).found).toContain("is empty");
  });

  it("without photos says what it holds", async () => {
    put("notes.txt");
    expect((await refused(folder)).found).toContain("holds 1 file and no photo");
    put("more.txt");
    expect((await refused(folder)).found).toContain("holds 2 files and no photo");
  });

  it("with photos one level down names the folder to try", async () => {
    mkdirSync(join(folder, "ring 1"));
    const error = await refused(folder);
    expect(error.found).toContain("holds only folders");
    expect(error.nextStep).toContain(join("stoneware jug", "ring 1"));
  });

  it("without a name says so", async () => {
    expect((await refused("")).found).toBe("no name was given");
  });

  it("shows no control character of a name", async () => {
    expect((await refused(join(folder, "\x1b[31mred"))).message).not.toContain("\x1b");
  });

  // The superuser may read everything, so there is nothing to see then.
  it.skipIf(process.getuid?.() === 0)("that may not be read says how to go on", async () => {
    put("jug.jpg");
    chmodSync(folder, 0);
    try {
      expect((await refused(folder)).found).toContain("may not be read");
    } finally {
      chmodSync(folder, 0o700);
    }
  });
});

describe("a file's kind", () => {
  it.each([
    ["jug.jpg", "jpeg"],
    ["jug.JPG", "jpeg"],
    ["jug.tar.jpeg", "jpeg"],
    ["jug.NEF", "raw"],
    ["jug.cr3", "raw"],
    ["jug.HEIC", "heic"],
    ["jug.jxl", "foreign"],
    ["jug.BMP", "foreign"],
    ["jug.constructor", "other"],
    ["jug", "other"],
    [".jpg", "other"],
    ["jug.jpg.part", "other"],
  ])("by name: %s is %s", (name, kind) => {
    expect(kindFromName(name)).toBe(kind);
  });

  it("by content: raw files that look like TIFF keep the name's kind", () => {
    const header = Uint8Array.from(Buffer.from("II*\0\x08\0\0\0\0\0"));
    expect(kindFromBytes(header)).toBe("tiff");
    expect(kindOf("jug.dng", header)).toBe("raw");
    expect(kindOf("jug.tif", header)).toBe("tiff");
    expect(kindFromBytes(Uint8Array.from(Buffer.from("II*\0\x10\0\0\0CR\x02\0")))).toBe("raw");
    expect(kindFromBytes(ftyp("crx "))).toBe("raw");
    expect(kindFromBytes(Uint8Array.from(Buffer.from("\0\0\0\x18ftypisom\0\0\0\0mp41avc1")))).toBeUndefined();
  });

  it("by content: too few bytes are no kind", () => {
    for (let length = 0; length < 12; length++) {
      expect(kindFromBytes(ftyp("heic").subarray(0, length))).toBeUndefined();
    }
  });
});
