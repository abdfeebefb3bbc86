import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import { addScaled, unit, type Vec3 } from "#goodgate/measure/geometry/vector.js";

/** What is known of a capture from outside: camera poses, and labels read by eye. */
export interface CaptureTruth {
  readonly name: string;
  /** Whether the subject was turned before a camera at rest. */
  readonly turned: boolean;
  /** Unit vectors from the subject to each camera, by file; empty where no poses are known. */
  readonly directions: ReadonlyMap<string, Vec3>;
  /** Unit vector; only with poses. */
  readonly up?: Vec3;
  /** By file: 0 fine, 1 borderline, 2 unusable; undefined where nobody read them. */
  readonly labels?: ReadonlyMap<string, CaptureLabel>;
}

export interface CaptureLabel {
  readonly blur: 0 | 1 | 2;
  readonly cause?: string;
  readonly notes?: string;
}

/** NAME.truth.json as it lies beside the photos: world units are free. */
interface TruthFile {
  readonly kind: string;
  readonly poses: Readonly<Record<string, { readonly center: Vec3 }>>;
  readonly lookAt?: Vec3;
  readonly up?: Vec3;
}

/** The captures of a folder, by name. */
export async function readTruths(folder: string): Promise<CaptureTruth[]> {
  const files = (await readdir(folder)).sort();
  const names = files.filter((file) => file.endsWith(".truth.json")).map((file) => file.split(".")[0]);
  return Promise.all(
    names.map(async (name) => {
      const truth = await readJson<TruthFile>(join(folder, `${name}.truth.json`));
      const labelled = files.includes(`${name}.labels.json`);
      const { lookAt, up } = truth;
      return {
        name,
        turned: truth.kind.includes("turntable"),
        directions: new Map(
          lookAt === undefined
            ? []
            : Object.entries(truth.poses).map(
                ([file, { center }]) => [file, unit(addScaled(center, lookAt, -1))] as const,
              ),
        ),
        ...(up && { up: unit(up) }),
        ...(labelled && { labels: await readLabels(join(folder, `${name}.labels.json`)) }),
      };
    }),
  );
}

async function readLabels(path: string): Promise<Map<string, CaptureLabel>> {
  const { photos } = await readJson<{ photos: Record<string, CaptureLabel> }>(path);
  return new Map(Object.entries(photos));
}

async function readJson<T>(path: string): Promise<T> {
  return JSON.parse(await readFile(path, "utf8")) as T;
}
