// Writes dist/report/page/assets.js: script and style of the page as text, with the hashes that its security policy allows.
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { rolldown } from "rolldown";

const FOLDER = "src/report/page/browser";

const bundle = await rolldown({ input: `${FOLDER}/main.ts`, platform: "browser" });
const { output } = await bundle.generate({ format: "iife", minify: true });
await bundle.close();

// A closing tag in the text would end the element that it stands in.
const script = output[0].code.replaceAll("</script", "<\\/script").trim();
const style = readFileSync(`${FOLDER}/style.css`, "utf8")
  .replace(/\/\*[\s\S]*?\*\//g, "")
  .replace(/\s+/g, " ")
  .trim();
const hash = (text) => createHash("sha256").update(text).digest("base64");
const lines = Object.entries({ script, style, scriptHash: hash(script), styleHash: hash(style) }).map(
  ([name, text]) => `export const ${name} = ${JSON.stringify(text)};\n`,
);
writeFileSync("dist/report/page/assets.js", lines.join(""));
