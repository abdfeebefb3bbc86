import type { MeasuredPhoto } from "../types/photo.js";
import type { PhotoDataRef } from "./store/photo-data.js";

/** A measured photo, and where what is too much to hold lies. */
export type ReadPhoto = MeasuredPhoto & { readonly data: PhotoDataRef };
