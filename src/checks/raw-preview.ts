import type { PhotoFacts } from "../types/facts.js";
import { type Draft, defineCheck, measure } from "./define.js";

export const rawPreview = defineCheck({
  id: "raw-preview",
  title: "raw photos, judged by the preview inside",
  serves: "whole-folder",
  measures:
    "Which photos are raw files, the size of the largest JPEG that the camera stored inside each, and whether the file reaches to the end of all it declares. Raw data are not developed.",
  why: "The preview shows focus, framing and light, but it may be smaller than the photo and was sharpened by the camera. A file that breaks off behind it is no use to anyone.",
  advice: "To have the full picture judged, let the camera save JPEG beside raw. Copy again what breaks off.",
  limits: {},
  judge({ photos }) {
    const raw = photos.filter((photo) => photo.rawPreview !== undefined);
    const cutShort = raw.filter((photo) => photo.rawPreview?.whole === false);
    return { findings: [...cutShort.map(breaksOff), ...bySize(raw).map(previewsOnly)], skipped: [] };
  },
});

function breaksOff({ file }: PhotoFacts): Draft {
  return {
    about: "photo",
    severity: "reshoot",
    alwaysReshoot: true,
    photos: [file],
    message: `${file} ends early: its preview is there, its raw picture is not all there.`,
    advice: "Copy it again from the camera; if that fails, take it again.",
  };
}

function bySize(photos: readonly PhotoFacts[]): PhotoFacts[][] {
  const groups = new Map<string, PhotoFacts[]>();
  for (const photo of photos) {
    const group = groups.get(sizeOf(photo));
    if (group === undefined) groups.set(sizeOf(photo), [photo]);
    else group.push(photo);
  }
  return [...groups.values()];
}

function sizeOf({ widthPx, heightPx }: PhotoFacts): string {
  return `${Math.max(widthPx, heightPx)} x ${Math.min(widthPx, heightPx)}`;
}

function previewsOnly(photos: readonly PhotoFacts[]): Draft {
  const size = sizeOf(photos[0]);
  return {
    about: "set",
    severity: "note",
    photos: photos.map(({ file }) => file),
    measured: measure(photos.length, "photos"),
    message:
      photos.length === 1
        ? `${photos[0].file} is a raw photo, judged by the ${size} preview inside.`
        : `These are raw photos, judged by the ${size} previews inside.`,
    advice:
      "Their sharpness was compared only among previews of that size. To have the full pictures judged, save JPEG beside raw.",
  };
}
