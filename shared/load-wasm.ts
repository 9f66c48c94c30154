import { existsSync, readFileSync } from 'node:fs';

/**
 * A WebAssembly module of this package, ready to be instantiated; undefined where it was not built: there is a plain form of all
 * that such modules do.
 */
export function loadWasm(name: string): WebAssembly.Module | undefined {
  const isSource = import.meta.url.endsWith('.ts');
  // This file stands one folder above the modules in all forms but the source.
  const file = new URL(`${isSource ? '../dist' : '..'}/${name}.wasm`, import.meta.url);
  return existsSync(file) ? new WebAssembly.Module(readFileSync(file)) : undefined;
}
