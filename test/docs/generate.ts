// Writes docs/checks.md and docs/limits.md from the checks, from the project's folder:
// npm run build && npx tsc -p test/tsconfig.json && node build/test/docs/generate.js
import { writeFileSync } from "node:fs";
import { pages } from "./pages.js";

for (const [path, render] of Object.entries(pages)) writeFileSync(path, render());
