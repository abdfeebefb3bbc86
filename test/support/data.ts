/** Real photographs from public packages, kept out of the repository: test/fetch-test-data.sh unpacks them. */
import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, it } from "vitest";

const PROJECT = join(dirname(fileURLToPath(import.meta.url)), "..", "..");

/** The folder that holds deb/, src/ and npm/, or undefined where nothing was fetched. */
export function dataFolder(): string | undefined {
  const candidates = [process.env.GOODGATE_TEST_DATA, join(PROJECT, ".cache", "test-data")];
  return candidates.find((folder) => folder !== undefined && folder !== "" && existsSync(folder));
}

/** Where the packages put their files, inside the data folder. */
const PLACES = {
  /** Pictures of the computer vision library's documentation. */
  opencv: "deb/usr/share/doc/opencv-doc/examples/data",
  skimage: "deb/usr/lib/python3/dist-packages/skimage/data",
  /** One photo in many encodings. */
  flower: "deb/usr/share/libjxl-testdata/jxl/flower",
  goexif: "deb/usr/share/gocode/src/github.com/rwcarlsen/goexif/exif",
  exiv2: "src/exiv2/test/data",
  gegl: "src/gegl/tests/compositions/data",
  libjpegTurbo: "src/libjpeg-turbo/testimages",
  pillow: "src/pillow/Tests/images",
  vips: "src/vips/test/test-suite/images",
  npm: "npm",
} as const;

export type Place = keyof typeof PLACES;

/** Path of a real file. @throws Error where there is no data folder: call it inside {@link describeWithData} */
export function dataPath(place: Place, ...names: string[]): string {
  const folder = dataFolder();
  if (folder === undefined) throw new Error("no test data: run test/fetch-test-data.sh");
  return join(folder, PLACES[place], ...names);
}

/** Bytes of a real file. */
export function dataBytes(place: Place, ...names: string[]): Uint8Array {
  return new Uint8Array(readFileSync(dataPath(place, ...names)));
}

/**
 * A group of tests on real photographs. Without the data it is skipped, saying so; under CI, where the data is
 * fetched first, that is a failure.
 */
export function describeWithData(name: string, fn: () => void): void {
  if (dataFolder() !== undefined) {
    describe(name, fn);
  } else if (process.env.CI) {
    describe(name, () => {
      it("has its test data", () => {
        throw new Error("no test data: run test/fetch-test-data.sh");
      });
    });
  } else {
    describe.skip(`${name} (skipped, no data)`, () => {
      it("needs the data that test/fetch-test-data.sh fetches", () => {});
    });
  }
}
