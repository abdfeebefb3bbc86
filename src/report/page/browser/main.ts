import type { ViewedPhoto } from "../viewed-photo.js";
import { byId } from "./dom.js";
import { startLight } from "./light.js";
import { startSheet } from "./sheet.js";
import { Viewer } from "./viewer.js";

const photos = JSON.parse(byId("photos").textContent ?? "[]") as readonly ViewedPhoto[];
const sheet = startSheet();
const viewer = new Viewer(photos, sheet);

// Whatever stands for a photo opens it: a frame, a task, a place, a point of a curve.
document.addEventListener("click", (event) => {
  const target = event.target instanceof Element ? event.target.closest("[data-photo]") : null;
  if (target !== null) viewer.open(Number(target.getAttribute("data-photo")));
});
startLight();
