/** How real exposure brackets come back: cameras bend tones, so these are shown and not held to a bar. */
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { decodePhoto } from "#goodgate/gather/decode.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { measurePhoto, type PhotoMeasurement } from "#goodgate/measure/photo/photo.js";

/** Three exposures of one building from a stand, with what the camera was set to, stops: gegl 0.4.42's test data. */
const FOLDER = "src/gegl/tests/compositions/data";
const BRACKET = [
  { file: "parliament_0.png", stops: -2 },
  { file: "parliament_1.png", stops: 0 },
  { file: "parliament_2.png", stops: 7 / 3 },
] as const;

/** @param data the folder of test/fetch-test-data.sh */
export async function renderBrackets(data: string): Promise<string> {
  const photos: PhotoMeasurement[] = [];
  for (const { file } of BRACKET) {
    photos.push(measurePhoto(await decodePhoto(await readFile(join(data, FOLDER, file))), 1));
  }
  const lines = [
    [0, 1],
    [1, 2],
    [0, 2],
  ].map(([i, j]) => {
    const [a, b] = [photos[i]!, photos[j]!];
    const { facts } = measurePair(a.features, b.features, 1);
    const mean = b.measures.meanLuminanceStops.value - a.measures.meanLuminanceStops.value;
    return [
      `${BRACKET[i]!.file} to ${BRACKET[j]!.file}`,
      (BRACKET[j]!.stops - BRACKET[i]!.stops).toFixed(2),
      facts.exposureDriftStops?.toFixed(2) ?? "not measured",
      mean.toFixed(2),
      `${facts.verifiedMatches}`,
      `${(100 * b.measures.clippedAnyRatio.value).toFixed(0)} %`,
    ].join(" | ");
  });
  return [
    "# Real exposure brackets",
    "Three photos of one building from a stand. The camera's tone curve stretches the middle and flattens what is bright, so",
    "a step does not come back as it was set; clipped surface is left out. Shown, not held to a bar.\n",
    "| pair | set, stops | on matched surface, stops | mean of the frame, stops | matches | of the second clipped |",
    "| --- | ---: | ---: | ---: | ---: | ---: |",
    ...lines.map((line) => `| ${line} |`),
    "",
  ].join("\n");
}
