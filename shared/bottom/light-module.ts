import { loadWasm } from '../load-wasm.ts';
import { type BlockMemory, blockMemoryIn, type LightMemory, memoryIn } from './light-memory.ts';

/** What `assembly/light.ts` exports. */
interface LightExports {
  readonly memory: WebAssembly.Memory;
  fit(
    blocks: number,
    below: number,
    range: number,
    sill: number,
    ratio: number,
    cos: number,
    sin: number,
    more: number,
    isAlike: boolean,
  ): number;
  mergeCells(
    count: number,
    radius: number,
    lat: number,
    lon: number,
    east: number,
    eastChange: number,
    north: number,
    northChange: number,
    bend: number,
  ): void;
  readonly blocks: WebAssembly.Global;
  readonly length: WebAssembly.Global;
  readonly soundings: WebAssembly.Global;
}

/**
 * The hot loops of cells and of the light fit, in WebAssembly: at full speed from the first waypoint, where the plain ones
 * must first be compiled in every thread. They give the same to the last bit.
 */
export interface LightModule extends LightExports {
  readonly fitMemory: LightMemory;
  readonly blockMemory: BlockMemory;
}

let opened: LightModule | undefined;

/** The module of this thread; undefined where it was not built. One for all: a loop ends before the next begins. */
export function lightModule(): LightModule | undefined {
  if (opened !== undefined) return opened;
  const module = loadWasm('light');
  if (module === undefined) return undefined;
  const instance = new WebAssembly.Instance(module, { mathematics: { log: Math.log } });
  const exports = instance.exports as unknown as LightExports;
  const { buffer } = exports.memory;
  opened = { ...exports, fitMemory: memoryIn(buffer), blockMemory: blockMemoryIn(buffer) };
  return opened;
}
