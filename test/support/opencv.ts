import { createRequire } from "node:module";

// biome-ignore lint/suspicious/noExplicitAny: the package's types do not cover what the tests use
type OpenCv = any;

let loading: Promise<{ cv: OpenCv }> | undefined;

/**
 * The general-purpose vision library compiled to WebAssembly (@techstark/opencv-js), ready to use. In a box,
 * since the module itself has a then() that an await would wait for without end.
 */
export function openCv(): Promise<{ cv: OpenCv }> {
  loading ??= new Promise((resolve) => {
    const cv = createRequire(import.meta.url)("@techstark/opencv-js");
    if (cv.Mat) resolve({ cv });
    else cv.onRuntimeInitialized = () => resolve({ cv });
  });
  return loading;
}
