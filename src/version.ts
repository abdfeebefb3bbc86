import { readFileSync } from "node:fs";

export const toolName = "goodgate";

/** The version in package.json, the one place it is written. */
export function toolVersion(): string {
  const manifest: unknown = JSON.parse(readFileSync(new URL("../package.json", import.meta.url), "utf8"));
  return (manifest as { version: string }).version;
}

let build: string | undefined;

/** A hash of the code that measures and of the packages that decode, written by `npm run build`. */
export function buildId(): string {
  build ??= readFileSync(new URL("./build-id", import.meta.url), "utf8");
  return build;
}
