/**
 * Puts the demo's report into README.md, from the project's folder:
 * npm run build:tools && node bin/goodgate.js check .cache/demo | node build/test/docs/fill-readme.js
 */
import { readFileSync, writeFileSync } from "node:fs";

const report = readFileSync(0, "utf8");
const block = `\`\`\`text\n${report.trimEnd()}\n\`\`\``;
const readme = readFileSync("README.md", "utf8");
const [before, rest] = readme.split("<!-- demo report -->");
const [, after] = rest.split("<!-- /demo report -->");
writeFileSync("README.md", `${before}<!-- demo report -->\n${block}\n<!-- /demo report -->${after}`);
