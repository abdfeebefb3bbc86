/** The library: audit a folder, judge saved facts again, render a report. */
export { type AuditOptions, type AuditProgress, audit } from "./audit.js";
export { checks, defaultLimits, judge } from "./checks/index.js";
export { mergeLimits } from "./checks/limits.js";
export { factsFromJson, renderJson } from "./report/json.js";
export { renderTerminal } from "./report/terminal.js";
export type * from "./types.js";
