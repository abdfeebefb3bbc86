import { edgeBlurs } from "#goodgate/measure/set/edge-blur.js";
import type { Finding } from "#goodgate/types/judgement.js";
import type { Capture, Topic } from "./topic.js";
import type { CaptureLabel } from "./truth.js";

/** Checks that call a photo blurred. */
const BLUR_CHECKS = ["soft-photo", "missed-focus"];
const ACCUSING = ["reshoot", "leave-out"];

interface Labelled {
  readonly label: CaptureLabel;
  readonly finding: Finding | undefined;
  /** Width of the sharpest edges where they are widest, and most over the photos around, px at 1920. */
  readonly widestPx: number | undefined;
  readonly grownPx: number | undefined;
}

function labelledPhotos({ truth, report }: Capture): Labelled[] {
  const blurs = edgeBlurs(report.facts);
  return report.facts.photos.flatMap(({ file }, i) => {
    const label = truth.labels?.get(file);
    if (label === undefined) return [];
    const finding = report.judgement.findings.find(
      ({ check, severity, photos }) =>
        BLUR_CHECKS.includes(check) && ACCUSING.includes(severity) && photos.includes(file),
    );
    return [{ label, finding, widestPx: blurs[i]?.widestPx, grownPx: blurs[i]?.grownPx }];
  });
}

const isNear = ({ label }: Labelled) => label.notes?.includes("near class 1") ?? false;
const caughtOf = (photos: readonly Labelled[]) =>
  `${photos.filter(({ finding }) => finding !== undefined).length} of ${photos.length}`;

/** Whether the finding names the cause that the eye saw; only shake and focus have one. */
function rightCause({ label, finding }: Labelled): boolean {
  return label.cause === "shake" ? /is shaken/.test(finding!.message) : /focus/.test(finding!.message);
}

/** What is said of photos that were labelled by eye. */
export const labels: Topic = {
  title: "Blur by eye",
  about:
    "Photos labelled at full size: 0 fine, 1 borderline, 2 unusable. Told to reshoot or leave out by soft-photo or missed-focus; of class 2 whether shake or focus is named as the eye saw it.",
  columns: ["class 2, sure", "class 2, all", "cause right", "class 1", "class 0 accused"],
  rows: (capture) => {
    const photos = labelledPhotos(capture);
    if (photos.length === 0) return [];
    const ofClass = (blur: number) => photos.filter(({ label }) => label.blur === blur);
    const told = ofClass(2).filter(
      ({ label, finding }) => finding !== undefined && ["shake", "focus"].includes(label.cause ?? ""),
    );
    return [
      [
        caughtOf(ofClass(2).filter((photo) => !isNear(photo))),
        caughtOf(ofClass(2)),
        `${told.filter(rightCause).length} of ${told.length}`,
        caughtOf(ofClass(1)),
        caughtOf(ofClass(0)),
      ],
    ];
  },
};

/** The spread that the limits of measured edges lie in. */
export const edgeSpread: Topic = {
  title: "Widths of edges",
  about:
    "Sharpest 15 % of a photo's edges across the direction where they are widest: sigma, px at a long edge of 1920 px; and how much wider than in the photos around.",
  columns: ["class", "photos", "least", "median", "95 %", "most", "least over those around"],
  rows: (capture) =>
    [0, 1, 2].flatMap((blur) => {
      const own = labelledPhotos(capture).filter(({ label }) => label.blur === blur);
      const widths = own.flatMap(({ widestPx }) => widestPx ?? []).sort((a, b) => a - b);
      if (widths.length === 0) return [];
      const at = (share: number) => widths[Math.round(share * (widths.length - 1))]!;
      const grown = own.flatMap(({ grownPx }) => grownPx ?? []);
      return [[blur, widths.length, at(0), at(0.5), at(0.95), at(1), Math.min(...grown)]];
    }),
};
