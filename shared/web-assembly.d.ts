/** The part of the WebAssembly JavaScript interface that is used here: Node has it, its type library does not name it. */
declare namespace WebAssembly {
  class Module {
    constructor(bytes: Uint8Array);
  }
  class Instance {
    constructor(module: Module, imports?: Record<string, Record<string, (...values: number[]) => number>>);
    readonly exports: unknown;
  }
  interface Memory {
    readonly buffer: ArrayBuffer;
  }
  interface Global {
    readonly value: number;
  }
}
