/** The library: audit a folder, judge saved facts again, render a report. */

export { checks, defaultLimits, judge } from "./checks/index.js";
export { mergeLimits } from "./checks/limits.js";
export { type AuditOptions, type AuditProgress, audit } from "./pipeline/audit.js";
export { type Ready, type ReadyOptions, ready } from "./ready/ready.js";
export { factsFromJson, renderJson } from "./report/json.js";
export { renderTerminal } from "./report/terminal.js";
export type * from "./types/around.js";
export type * from "./types/exif.js";
export type * from "./types/facts.js";
export type * from "./types/folder.js";
export type * from "./types/judgement.js";
export type * from "./types/light.js";
export type * from "./types/pair.js";
export type * from "./types/photo.js";
export type * from "./types/pixels.js";
export type * from "./types/report.js";
export type * from "./types/units.js";
