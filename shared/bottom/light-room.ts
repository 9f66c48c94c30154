import { type LightMemory, type LightVariation, memoryIn } from './light-memory.ts';
import { lightModule } from './light-module.ts';
import { fitPlainly } from './light-plain.ts';

/** See `fitPlainly`. */
export type FitIn = (blocks: number, below: number, variation: LightVariation, isAlike: boolean) => number;

export interface LightRoom extends LightMemory {
  readonly fit: FitIn;
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
  const module = lightModule();
  if (module === undefined) return undefined;
  return {
    ...module.fitMemory,
    fit: (blocks, below, { range, sill, ratio, cos, sin, noise }, isAlike) =>
      module.fit(blocks, below, range, sill, ratio, cos, sin, noise - 1, isAlike),
  };
}
