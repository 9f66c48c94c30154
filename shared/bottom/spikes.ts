import type { LocalSoundings } from './blocks.ts';

/** Stand-off below which a sounding is never called a spike, m. */
const SPIKE_LEAST = 0.6;

/**
 * Soundings that stand off from both neighbors of their run far more than the neighbors from their own.
 *
 * The tip of a steep cone stays: its sides differ among themselves as much as it does from them.
 */
export function findSpikes(
  soundings: LocalSoundings,
  runs: readonly (readonly [number, number])[],
): Uint8Array {
  const { depth, count } = soundings;
  const spike = new Uint8Array(count);
  const at = (i: number, start: number, end: number): number => depth[Math.max(start, Math.min(end - 1, i))];
  for (const [start, end] of runs) {
    for (let i = start; i < end; i++) {
      const d = depth[i];
      if (!(d > 0)) {
        spike[i] = 1;
        continue;
      }
      const before = i > start ? at(i - 1, start, end) : at(i + 1, start, end);
      const after = i < end - 1 ? at(i + 1, start, end) : at(i - 1, start, end);
      const stand = Math.min(Math.abs(d - before), Math.abs(d - after));
      if (stand <= SPIKE_LEAST || (d - before) * (d - after) < 0) continue;
      const around = Math.max(
        Math.abs(before - at(i - 2, start, end)),
        Math.abs(after - at(i + 2, start, end)),
        Math.abs(before - after),
      );
      if (stand > 2.5 * around + 0.3) spike[i] = 1;
    }
  }
  return spike;
}
