/** The sets of the gate's evaluation: most must not pass, and say first what they are. */
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { basePhotos, cleanBases } from "./gate-bases.js";
import {
  alongside,
  asIs,
  asPhoto,
  blotted,
  bracketed,
  drawnPhoto,
  exposed,
  grainy,
  lying,
  mirrored,
  noisy,
  recompressed,
  refocused,
  resized,
  type Spoil,
  shaken,
  soft,
  thumbnail,
  zoomed,
} from "./gate-spoil.js";
import { realPhotos } from "./real-photos.js";

export interface Sources {
  /** Where bases are kept. */
  readonly cache: string;
  /** Folder of real captures, one folder each; absent: their sets are left out. */
  readonly captures?: string;
}

/** A set as files to be written, in capture order. */
export interface GateSet {
  readonly name: string;
  readonly group: string;
  /** What the first line has to say; absent for sets that have to pass. */
  readonly says?: RegExp;
  readonly spanDeg?: number;
  /** Photos of the set: file name and a way to make its bytes. */
  files(): Promise<readonly (readonly [file: string, bytes: () => Promise<Uint8Array>])[]>;
}

/** Where photos come from: a base, a capture, or pictures drawn on the spot. */
type Origin = () => Promise<readonly string[]>;

const named = (index: number): string => `IMG_${String(index + 1).padStart(4, "0")}.jpg`;

type Piece = readonly [file: string, spoil: Spoil, index: number];

function setOf(
  name: string,
  group: string,
  says: RegExp | undefined,
  pieces: () => Promise<readonly Piece[]>,
  spanDeg?: number,
): GateSet {
  return {
    name,
    group,
    ...(says && { says }),
    ...(spanDeg !== undefined && { spanDeg }),
    files: async () =>
      (await pieces()).map(([file, spoil, index], i) => [named(i), () => spoil(file, index)] as const),
  };
}

const each =
  (origin: Origin, spoil: Spoil = asIs): (() => Promise<readonly Piece[]>) =>
  async () =>
    (await origin()).map((file, i) => [file, spoil, i]);

const drawnPieces = (kind: "noise" | "flat" | "squares", count: number, from = 0): Piece[] =>
  Array.from({ length: count }, (_, i) => ["", (_file, index) => drawnPhoto(kind, from + index), i]);

/** What first lines have to say, group by group. */
const SAYS = {
  unrelated: /different things|nothing in common|noise|plain|hold nothing/i,
  groups: /\d+ (things|groups)/i,
  twoProps: /2 groups|two (things|props|groups)|3 groups|three (things|props|groups)/i,
  unlinked: /(share|show)s? nothing|nothing in common|different things/i,
  strip: /past|flat|one side|sideways/i,
  onePlace: /one place|same place|one and the same view|one view/i,
  copies: /cop(y|ies)/i,
  mirrored: /mirror/i,
  front: /one side|front/i,
  small: /small|thumbnail/i,
  // A wrong cause is a wrong first line.
  soft: /soft throughout|out of focus/i,
  shaken: /shaken/i,
  burnt: /burnt|bright/i,
  dark: /dark|black/i,
  noisy: /noise/i,
  crushed: /compress/i,
  cut: /cut|beyond the frame|edge of the frame/i,
  tiny: /small|far/i,
  blob: /same spot|lens|front of the subject|cover/i,
  plain: /plain|hold nothing/i,
  few: /few|photos cannot/i,
} as const;

export function gateSets({ cache, captures }: Sources): readonly GateSet[] {
  const base =
    (name: string): Origin =>
    () =>
      basePhotos(name, cache);
  const part =
    (origin: Origin, from: number, to: number, every = 1): Origin =>
    async () =>
      (await origin()).slice(from, to).filter((_, i) => i % every === 0);
  const captured =
    (name: string, every: number): Origin =>
    async () => {
      const folder = join(captures!, name);
      const files = readdirSync(folder)
        .filter((file) => /\.jpe?g$/i.test(file))
        .sort();
      return files.filter((_, i) => i % every === 0).map((file) => join(folder, file));
    };
  const real: Origin = async () => {
    // One photo of each thing.
    const families = new Map<string, string>();
    for (const { file, family } of realPhotos()) if (!families.has(family)) families.set(family, file);
    return [...families.values()];
  };
  const small = { bronze: 3, cape: 3, sandstone: 3, marble: 3 };
  const CAPTURES: Readonly<Record<string, Origin>> =
    captures === undefined
      ? {}
      : {
          bronze: captured("bronze-head-turntable", small.bronze),
          cape: captured("gold-cape", small.cape),
          sandstone: captured("sandstone-head", small.sandstone),
          marble: captured("marble-head", small.marble),
        };
  const walks: Readonly<Record<string, Origin>> = {
    jug: base("jug"),
    toad: base("toad"),
    lamp: base("lamp"),
    ...(captures !== undefined && { cape: CAPTURES.cape, sandstone: CAPTURES.sandstone }),
  };
  const large: Readonly<Record<string, Origin>> = {
    "jug-large": base("jug-large"),
    "toad-large": base("toad-large"),
    "lamp-large": base("lamp-large"),
    ...(captures !== undefined && { cape: CAPTURES.cape }),
  };
  const sets: GateSet[] = [];
  const add = (
    name: string,
    group: string,
    says: RegExp | undefined,
    pieces: () => Promise<readonly Piece[]>,
    spanDeg?: number,
  ) => sets.push(setOf(name, group, says, pieces, spanDeg));

  // ---- things that have nothing to do with one another
  for (const [kind, count] of [
    ["squares", 10],
    ["squares", 24],
    ["squares", 60],
    ["squares", 200],
    ["noise", 16],
    ["noise", 40],
    ["flat", 16],
    ["flat", 40],
  ] as const)
    add(`${kind} x ${count}`, "unrelated", SAYS.unrelated, async () => drawnPieces(kind, count));
  for (const count of [10, 24, 40])
    add(`real photographs x ${count}`, "unrelated", SAYS.unrelated, async () =>
      (await real()).slice(0, count).map((file, i) => [file, asPhoto(900), i]),
    );
  add("squares, noise and flat", "unrelated", SAYS.unrelated, async () => [
    ...drawnPieces("squares", 12, 500),
    ...drawnPieces("noise", 12, 500),
    ...drawnPieces("flat", 12, 500),
  ]);

  // ---- groups of things
  const windows =
    (count: number, of: number, from = 0) =>
    async (): Promise<Piece[]> =>
      (await real())
        .slice(from, from + of)
        .flatMap((file) =>
          Array.from(
            { length: count },
            (_, i): Piece => [file, alongside(3 * count, { widthPx: 640, heightPx: 480 }), i],
          ),
        );
  add("8 things x 3", "groups", SAYS.groups, windows(3, 8));
  add("5 things x 4", "groups", SAYS.groups, windows(4, 5, 8));
  add("12 things x 2", "groups", SAYS.groups, windows(2, 12, 4));
  add("4 props x 3", "groups", SAYS.groups, async () =>
    (await Promise.all(["jug", "toad", "lamp", "jug-other-room"].map((name) => part(base(name), 0, 3)())))
      .flat()
      .map((file, i) => [file, asIs, i]),
  );
  add("6 props x 5", "groups", SAYS.groups, async () =>
    (
      await Promise.all(
        ["jug", "toad", "lamp", "jug-other-room", "toad-half", "jug-half"].map((name) =>
          part(base(name), 0, 5)(),
        ),
      )
    )
      .flat()
      .map((file, i) => [file, asIs, i]),
  );
  if (captures !== undefined)
    add("4 captures x 6", "groups", SAYS.groups, async () =>
      (await Promise.all(Object.values(CAPTURES).map((origin) => part(origin, 0, 6)())))
        .flat()
        .map((file, i) => [file, resized(1000), i]),
    );

  // ---- two props in one folder
  const both = (name: string, one: Origin, other: Origin, woven: boolean, spoil: Spoil = asIs) =>
    add(name, "two props", SAYS.twoProps, async () => {
      const [a, b] = [await one(), await other()];
      const files = woven
        ? a.flatMap((file, i) => (b[i] === undefined ? [file] : [file, b[i]]))
        : [...a, ...b];
      return files.map((file, i) => [file, spoil, i]);
    });
  both("jug then toad", base("jug"), base("toad"), false);
  both("toad then lamp", base("toad"), base("lamp"), false);
  both("jug and lamp in turn", base("jug"), base("lamp"), true);
  both("jug then part of a toad", base("jug"), part(base("toad"), 0, 8), false);
  both("jug and the same jug in another room", base("jug"), base("jug-other-room"), false);
  if (captures !== undefined) {
    both("cape then sandstone", CAPTURES.cape, CAPTURES.sandstone, false, resized(1000));
    both("bronze and marble in turn", CAPTURES.bronze, CAPTURES.marble, true, resized(1000));
    both("marble then sandstone", CAPTURES.marble, CAPTURES.sandstone, false, resized(1000));
  }
  add("jug, toad and lamp", "two props", SAYS.twoProps, async () =>
    [...(await base("jug")()), ...(await base("toad")()), ...(await base("lamp")())].map((file, i) => [
      file,
      asIs,
      i,
    ]),
  );

  // ---- a part links to nothing
  const withLoose = (name: string, origin: Origin, count: number, spoil: Spoil = asIs) =>
    add(`${name} and ${count} of other things`, "unlinked", SAYS.unlinked, async () => [
      ...(await origin()).map((file, i): Piece => [file, spoil, i]),
      ...drawnPieces("squares", count, 900),
    ]);
  withLoose("jug", base("jug"), 8);
  withLoose("jug", base("jug"), 24);
  withLoose("toad", base("toad"), 12);
  withLoose("lamp", base("lamp"), 24);
  if (captures !== undefined) {
    withLoose("cape", CAPTURES.cape, 14, resized(1000));
    withLoose("marble", CAPTURES.marble, 25, resized(1000));
  }

  // ---- past a flat thing
  const strip = (name: string, file: () => Promise<string>, count: number) =>
    add(`strip, ${name} x ${count}`, "strip", SAYS.strip, async () => {
      const from = await file();
      return Array.from(
        { length: count },
        (_, i): Piece => [from, alongside(count, { widthPx: 480, heightPx: 640 }), i],
      );
    });
  const find = (name: RegExp) => async () => realPhotos().find(({ file }) => name.test(file))?.file ?? "";
  strip("wall", find(/graf1/), 20);
  strip("flower", find(/flower\.png$/), 24);
  strip("building", find(/building/), 24);
  strip("starry night", find(/starry/), 24);
  strip("stuff", find(/stuff/), 20);
  if (captures !== undefined) {
    strip("cape", async () => (await CAPTURES.cape())[3], 24);
    strip("sandstone", async () => (await CAPTURES.sandstone())[3], 24);
  }

  // ---- one place, one view
  const views: Readonly<Record<string, () => Promise<string>>> = {
    jug: async () => (await base("jug")())[5],
    toad: async () => (await base("toad")())[9],
    lamp: async () => (await base("lamp")())[2],
    ...(captures !== undefined && {
      cape: async () => (await CAPTURES.cape())[10],
      marble: async () => (await CAPTURES.marble())[4],
    }),
  };
  const ways: readonly (readonly [string, Spoil, RegExp])[] = [
    ["new grain", grainy, SAYS.onePlace],
    ["other exposures", bracketed(2), SAYS.onePlace],
    ["other focus", refocused, SAYS.onePlace],
    ["zoom", zoomed, SAYS.onePlace],
    ["saved anew", recompressed("each its own"), /cop(y|ies)|one place|same view|one view/i],
    ["copies", asIs, SAYS.copies],
  ];
  for (const [view, file] of Object.entries(views))
    for (const [way, spoil, says] of ways)
      add(`one view, ${view}, ${way}`, "one place", says, async () => {
        const from = await file();
        return Array.from(
          { length: 24 },
          (_, i): Piece => [
            from,
            view === "cape" || view === "marble" ? chain(resized(1000), spoil) : spoil,
            i,
          ],
        );
      });

  // ---- half a ring and its mirror images
  for (const [name, origin] of Object.entries({
    "jug-half": base("jug-half"),
    "toad-half": base("toad-half"),
    "lamp-front": base("lamp-front"),
    ...(captures !== undefined && {
      "cape's first half": part(CAPTURES.cape, 0, 20),
      "marble's first half": part(CAPTURES.marble, 0, 14),
    }),
  }))
    add(`${name} and its mirror images`, "mirrored", SAYS.mirrored, async () => {
      const files = await origin();
      return [
        ...files.map((file, i): Piece => [file, asIs, i]),
        ...files.toReversed().map((file, i): Piece => [file, mirrored, i]),
      ];
    });

  // ---- the front alone
  for (const name of ["jug-front", "toad-front", "lamp-front", "jug-half", "toad-half"])
    add(`${name}`, "front only", SAYS.front, each(base(name)));
  add("ten degrees wanted, six photos", "front only", SAYS.few, each(part(base("jug"), 0, 6)), 10);
  add("one degree wanted, one view", "front only", SAYS.onePlace, each(part(base("jug"), 0, 1), asIs), 1);
  add(
    "ten degrees wanted, one view 20 times",
    "front only",
    SAYS.onePlace,
    async () => {
      const [file] = await base("jug")();
      return Array.from({ length: 20 }, (_, i): Piece => [file, grainy, i]);
    },
    10,
  );
  if (captures !== undefined)
    add("a third of the cape's way", "front only", SAYS.front, each(part(captured("gold-cape", 1), 0, 24)));

  // ---- pictures that hold too little
  for (const [name, origin] of Object.entries(walks)) {
    add(`${name}, thumbnails of 160`, "thumbnails", SAYS.small, each(origin, thumbnail(160)));
    add(`${name}, thumbnails of 480`, "thumbnails", SAYS.small, each(origin, thumbnail(480)));
  }
  for (const [name, origin] of Object.entries(large)) {
    for (const sigma of [1.5, 2, 3])
      add(`${name}, soft by ${sigma}`, "soft", SAYS.soft, each(origin, soft(sigma)));
    for (const length of [6, 12, 21])
      add(`${name}, shaken by ${length} one way`, "shaken", SAYS.shaken, each(origin, shaken(length, 20)));
    for (const length of [8, 15, 25])
      add(
        `${name}, shaken by ${length} each its own`,
        "shaken",
        SAYS.shaken,
        each(origin, shaken(length, "its own")),
      );
  }
  for (const [name, origin] of Object.entries(walks)) {
    add(`${name}, burnt out`, "burnt out", SAYS.burnt, each(origin, exposed(4)));
    add(`${name}, dark`, "dark", SAYS.dark, each(origin, exposed(-6.5)));
    add(`${name}, drowned in noise`, "noisy", SAYS.noisy, each(origin, noisy));
    add(`${name}, quality 5`, "crushed", SAYS.crushed, each(origin, recompressed(5)));
    add(`${name}, a blob over the middle`, "blob", SAYS.blob, each(origin, blotted(0.3)));
  }
  add("jug, a large blob over the middle", "blob", SAYS.blob, each(base("jug"), blotted(0.5)));

  // ---- framing of every photo
  for (const name of ["jug-cut-side", "toad-cut-top", "jug-cut-top"])
    add(name, "cut", SAYS.cut, each(base(name)));
  if (captures !== undefined)
    add("cape, the right half of each photo", "cut", SAYS.cut, each(CAPTURES.cape, halfOf));
  for (const name of ["jug-tiny", "toad-tiny"]) add(name, "tiny", SAYS.tiny, each(base(name)));

  // ---- others
  for (const name of ["plaster-plain", "plaster-toad-plain", "plaster-store"])
    add(name, "plain", SAYS.plain, each(base(name)));
  add("half a ring with lying EXIF", "lying EXIF", SAYS.front, each(base("jug-half"), lying));
  add("the front with lying EXIF", "lying EXIF", SAYS.front, each(base("toad-front"), lying));
  add("one view with lying EXIF", "lying EXIF", SAYS.onePlace, async () => {
    const file = await views.jug();
    return Array.from({ length: 24 }, (_, i): Piece => [file, chain(grainy, lying), i]);
  });
  add("different things with lying EXIF", "lying EXIF", SAYS.unrelated, async () =>
    (await real()).slice(0, 20).map((file, i) => [file, chain(asPhoto(900), lying), i]),
  );
  add("eight photos", "few", SAYS.few, each(base("jug-sparse")));
  add("three photos", "few", SAYS.few, each(part(base("jug"), 0, 3)));
  return sets;
}

/** The right half of a photo, from a third on: the subject is cut through in every one. */
const halfOf: Spoil = async (file) => {
  const { default: sharp } = await import("sharp");
  const { width, height } = await sharp(file).metadata();
  const left = Math.round(0.5 * width);
  return new Uint8Array(
    await sharp(file)
      .extract({ left, top: 0, width: width - left, height })
      .keepExif()
      .jpeg({ quality: 92 })
      .toBuffer(),
  );
};

/** One after the other, through a file in memory. */
function chain(first: Spoil, then: Spoil): Spoil {
  return async (file, index) => {
    const { mkdtemp, rm, writeFile } = await import("node:fs/promises");
    const { tmpdir } = await import("node:os");
    const folder = await mkdtemp(join(tmpdir(), "gate-"));
    try {
      const between = join(folder, "photo.jpg");
      await writeFile(between, await first(file, index));
      return await then(between, index);
    } finally {
      await rm(folder, { recursive: true, force: true });
    }
  };
}

/** Sets that have to pass. */
export function cleanSets({ cache }: Sources): readonly GateSet[] {
  return Object.keys(cleanBases).map((name) =>
    setOf(
      name,
      "clean",
      undefined,
      each(() => basePhotos(name, cache)),
    ),
  );
}
