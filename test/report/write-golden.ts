// Rewrites the saved reports, from the project's folder: see fixtures/report/README.md.
import { writeFileSync } from "node:fs";
import { goldenFiles, goldenFolder } from "./golden.js";

for (const [name, render] of Object.entries(goldenFiles)) writeFileSync(`${goldenFolder}/${name}`, render());
