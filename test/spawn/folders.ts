import { execFile } from "node:child_process";
import { readFileSync } from "node:fs";
import { cp, mkdir, mkdtemp, readdir, readFile, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Ajv2020 } from "ajv/dist/2020.js";
import { main } from "#goodgate/cli.js";
import type { ReportDocument } from "#goodgate/report/json.js";
import { exifBlock } from "../support/exif-writer.js";
import { capturedIo } from "../support/io.js";

const fitsSchema = new Ajv2020({ allErrors: true, strictTuples: false }).compile<ReportDocument>(
  JSON.parse(readFileSync("docs/report.schema.json", "utf8")),
);

export interface Run {
  readonly code: number;
  readonly out: string;
  readonly err: string;
  /** Both streams with every run of white space as one blank, so that wrapped sentences can be looked for. */
  readonly said: string;
}

/** Runs one command line in this process. */
export async function goodgate(...args: readonly string[]): Promise<Run> {
  const io = capturedIo();
  const code = await main(args, io);
  return runOf(code, io.out(), io.err());
}

/** Runs the program as a shell does, in its own process and with environment variables of its own. */
export function goodgateProcess(
  more: Readonly<Record<string, string>>,
  ...args: readonly string[]
): Promise<Run> {
  const { FORCE_COLOR: _, NO_COLOR: __, ...env } = { ...process.env, ...more };
  return new Promise((resolve) => {
    execFile(
      process.execPath,
      ["bin/goodgate.js", ...args],
      { env, maxBuffer: 1 << 27 },
      (error, out, err) => {
        const code = error === null ? 0 : typeof error.code === "number" ? error.code : -1;
        resolve(runOf(code, out, err));
      },
    );
  });
}

function runOf(code: number, out: string, err: string): Run {
  return { code, out, err, said: `${out} ${err}`.replace(/\s+/g, " ") };
}

/** Names, sizes and times of all that lies in a folder: the same before and after means nothing was changed. */
export async function contents(folder: string): Promise<readonly string[]> {
  const names = (await readdir(folder)).sort();
  return Promise.all(
    names.map(async (name) => {
      const { size, mtimeMs } = await stat(join(folder, name));
      return `${name} ${size} ${mtimeMs}`;
    }),
  );
}

/** A folder of the test's own, with folders of photos in it; `remove` takes it all away. */
export class Bench {
  private number = 0;
  private readonly root: string;

  private constructor(root: string) {
    this.root = root;
  }

  static async make(): Promise<Bench> {
    return new Bench(await mkdtemp(join(tmpdir(), "goodgate-spawn-")));
  }

  remove(): Promise<void> {
    return rm(this.root, { recursive: true, force: true });
  }

  path(name: string): string {
    return join(this.root, name);
  }

  /** A new folder with copies of `photos` and with `more`: bytes by name. */
  async folder(photos: readonly string[], more: Readonly<Record<string, Uint8Array>> = {}): Promise<string> {
    const folder = this.path(`set-${++this.number}`);
    await mkdir(folder);
    for (const photo of photos) await cp(photo, join(folder, photo.slice(photo.lastIndexOf("/") + 1)));
    for (const [name, bytes] of Object.entries(more)) await writeFile(join(folder, name), bytes);
    return folder;
  }

  /** `goodgate check` with its report on both ways out, held to the schema, and whether it left the folder as it was. */
  async check(
    folder: string,
    ...options: readonly string[]
  ): Promise<Run & { readonly report: ReportDocument; readonly untouched: boolean }> {
    const saved = this.path(`report-${++this.number}.json`);
    const before = await contents(folder);
    const run = await goodgate("check", folder, "--jobs", "2", "--save", saved, ...options);
    const untouched = JSON.stringify(await contents(folder)) === JSON.stringify(before);
    const text = await readFile(saved, "utf8").catch(() => {
      throw new Error(`no report was saved; exit code ${run.code}: ${run.said}`);
    });
    const report: ReportDocument = JSON.parse(text);
    if (!fitsSchema(report)) throw new Error(`not by the schema: ${JSON.stringify(fitsSchema.errors)}`);
    return { ...run, report, untouched };
  }
}

/** The same JPEG without its EXIF: every APP1 segment taken out. */
export function withoutExif(jpeg: Uint8Array): Uint8Array {
  const kept: Uint8Array[] = [jpeg.subarray(0, 2)];
  let at = 2;
  while (jpeg[at] === 0xff && jpeg[at + 1] !== 0xda) {
    const end = at + 2 + jpeg[at + 2]! * 256 + jpeg[at + 3]!;
    if (jpeg[at + 1] !== 0xe1) kept.push(jpeg.subarray(at, end));
    at = end;
  }
  return Buffer.concat([...kept, jpeg.subarray(at)]);
}

/** The first bytes of a HEIC file: an ftyp box with the brands that phones write (ISO/IEC 23008-12). */
export function heicHeader(): Uint8Array {
  const box = Buffer.from("\0\0\0\x18ftypheic\0\0\0\0mif1heic", "latin1");
  return Buffer.concat([box, Buffer.alloc(2000)]);
}

/** A raw file's directory and nothing else: no picture is declared in it. */
export function bareRaw(): Uint8Array {
  return exifBlock({ ifd0: [{ tag: 0x010f, type: "ascii", value: "Lamplight" }] });
}
