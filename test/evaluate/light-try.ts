import { subjectStops } from "#goodgate/measure/light/brightness.js";
import { swingOf } from "#goodgate/measure/light/swing.js";
import { fillCells } from "#goodgate/measure/photo/cells.js";
import { measureSurface } from "#goodgate/measure/photo/surface.js";
import * as S from "./light-scenes.js";

for (const [k, subject] of (["jug", "toad", "trunk", "lamp"] as const).entries()) {
  const ring = S.litRing(S.ringOptions(subject, k + 1), [
    { lamps: "one" },
    { lamps: "overcast" },
    { lamps: "two opposite", lampRatioStops: 0 },
    { lamps: "two opposite", lampRatioStops: 6 },
    { lamps: "three" },
  ]);
  const mixes: [string, number[]][] = [
    ["one .04", [1, -0.1, 0, 0, 0]],
    ["one .14", [1, 0, 0, 0, 0]],
    ["one .5", [1, 0.36, 0, 0, 0]],
    ["one 1.5", [1, 1.36, 0, 0, 0]],
    ["one 4", [1, 4, 0, 0, 0]],
    ["overcast", [0, 1, 0, 0, 0]],
    ["two 0", [0, 0, 1, 0, 0]],
    ["two .5", [0, 0, 0.7, 0.3, 0]],
    ["two 1", [0, 0, 0.5, 0.5, 0]],
    ["two 1.6", [0, 0, 0.33, 0.67, 0]],
    ["three", [0, 0, 0, 0, 1]],
  ];
  const truth = mixes.map(() => [] as { azimuthDeg: number; stops: number }[]);
  const meas = mixes.map(() => [] as { azimuthDeg: number; stops: number }[]);
  const gains: number[] = [];
  for (let i = 0; i < 24; i += 1) {
    const { lights, mask } = ring.pose(i);
    mixes.forEach(([, f], m) => {
      if (i === 0) {
        const l = S.luminances(S.mix(lights, f, 1), mask);
        gains[m] = 0.3 / l[Math.floor(l.length * 0.9)];
      }
      const image = S.mix(lights, f, gains[m]);
      truth[m].push({ azimuthDeg: ring.azimuthDeg[i], stops: S.trueStops(image, mask) });
      const rgb = S.shoot(image, i);
      const cells = fillCells(measureSurface(rgb), 0);
      meas[m].push({
        azimuthDeg: ring.azimuthDeg[i],
        stops: subjectStops(cells, S.regionOfMask(mask, 900, 675, cells))!,
      });
    });
  }
  mixes.forEach(([name], m) => {
    const t = swingOf(truth[m])!,
      s = swingOf(meas[m])!;
    console.log(
      subject,
      name,
      "true",
      t.swingStops.toFixed(2),
      "said",
      s.swingStops.toFixed(2),
      "one",
      s.oneSidedStops.toFixed(2),
      "two",
      s.twoSidedStops!.toFixed(2),
      "dark",
      s.darkSideDeg.toFixed(0),
      "t",
      t.darkSideDeg.toFixed(0),
      "lamp+180",
      ((S.ONE_LAMP_DEG + 180) % 360).toFixed(0),
      t.bins.map((b) => b?.toFixed(1)).join(" "),
    );
  });
}
