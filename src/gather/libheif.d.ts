/** The bundle has no types of its own; those beside it describe the same module. */
declare module "libheif-js/libheif-wasm/libheif-bundle.js" {
  import type { MainModule } from "libheif-js/libheif-wasm/libheif.js";

  export default function start(options?: {
    readonly print: (text: string) => void;
    readonly printErr: (text: string) => void;
  }): MainModule;
}
