import { loadWasm } from '../load-wasm.ts';
import { type LightMemory, type LightVariation, memoryIn } from './light-memory.ts';
import { fitPlainly } from './light-plain.ts';

/** See `fitPlainly`. */
export type FitIn = (blocks: number, below: number, variation: LightVariation, isAlike: boolean) => number;

export interface LightRoom extends LightMemory {
  readonly fit: FitIn;
}

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
}

let opened: LightRoom | undefined;

/**
 * The room of this thread: one for all fits, each of which ends before the next begins.
 *
 * With the fit in WebAssembly, at full speed from the first waypoint, or in plain form where the module was not built. Both
 * give the same to the last bit.
 */
export function lightRoom(): LightRoom {
  opened ??= moduleRoom() ?? plainRoom();
  return opened;
}

export function plainRoom(): LightRoom {
  const memory = memoryIn(new ArrayBuffer(2 ** 17));
  return { ...memory, fit: (...how) => fitPlainly(memory, ...how) };
}

/** Undefined where the module was not built. */
export function moduleRoom(): LightRoom | undefined {
  const module = loadWasm('light');
  if (module === undefined) return undefined;
  const wasm = new WebAssembly.Instance(module, { mathematics: { log: Math.log } })
    .exports as unknown as LightExports;
  return {
    ...memoryIn(wasm.memory.buffer),
    fit: (blocks, below, { range, sill, ratio, cos, sin, noise }, isAlike) =>
      wasm.fit(blocks, below, range, sill, ratio, cos, sin, noise - 1, isAlike),
  };
}
