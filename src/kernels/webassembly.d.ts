/** What is used of WebAssembly here: Node has it, but its types come with those of the browser only. */
declare namespace WebAssembly {
  class Module {
    constructor(bytes: Uint8Array);
  }
  class Instance {
    constructor(module: Module);
    readonly exports: Readonly<Record<string, unknown>>;
  }
  interface Memory {
    readonly buffer: ArrayBuffer;
  }
}
