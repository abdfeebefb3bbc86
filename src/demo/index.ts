/** The demo set: rendered photos of a prop with exact truth. Only write.ts and worker.ts touch the disk. */

export { type Camera, projectPoint } from "./camera.js";
export { encodePhoto } from "./encode.js";
export type { Background } from "./options.js";
export {
  cleanDemo,
  defaultDemo,
  type Fault,
  handHeld,
  type JitterOptions,
  type LampSetup,
  type PlacedFault,
  type RingOptions,
  type SetOptions,
  type SkippedArc,
  type WindowOptions,
} from "./options.js";
export { type PhotoPlan, planSet, type SetPlan } from "./plan.js";
export { type Material, type PropName, propNames } from "./props/index.js";
export { developPhoto, type LinearPhoto, renderLinear, renderPhoto, spoil } from "./render.js";
export { atSize, type SubjectTruth, subjectTruth } from "./subject-truth.js";
export { demoVersion, type PhotoTruth, type Truth, truthOf } from "./truth.js";
export { FolderNotEmptyError, type WriteOptions, writeSet } from "./write.js";
