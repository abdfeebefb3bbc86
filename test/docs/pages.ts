import { explained } from "#goodgate/checks/index.js";
import { renderChecksMarkdown, renderLimitsMarkdown } from "./markdown.js";

/** The pages made from the check registry: path from the project's folder, and what stands in it. */
export const pages: Readonly<Record<string, () => string>> = {
  "docs/checks.md": () => renderChecksMarkdown(explained),
  "docs/limits.md": () => renderLimitsMarkdown(explained),
};
