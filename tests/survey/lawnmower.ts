import { passes } from '../../plugins/passes.ts';
import { reduceBlocks } from '../../plugins/reduce-blocks.ts';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import { type MadeRow, makeLog, makeNoise, runOnLog } from './make-log.ts';

/** Returns the depth of a bottom with slopes everywhere, m. */
export const bottom = (east: number, north: number): number =>
  8 + 2.5 * Math.sin(east / 25) + 1.5 * Math.cos(north / 18) + 0.01 * east;

/**
 * Makes a reduced log of passes back and forth, with 5 cm of noise. `lagSeconds` is the latency of positions
 * behind depths; `offset`, m, is added to depths before `factor` multiplies them.
 */
export function lawnmower(options: {
  readonly bearing: number;
  readonly spacing?: number;
  readonly count?: number;
  readonly time?: number;
  readonly lagSeconds?: number;
  readonly offset?: number;
  readonly factor?: number;
  readonly file?: string;
  readonly seed?: number;
}): SoundingLog {
  const { bearing, spacing = 20, count = 8, time = 1.7e9, lagSeconds = 0, offset = 0, factor = 1 } = options;
  const noise = makeNoise(options.seed ?? 1);
  const speed = 2.5;
  const rows: MadeRow[] = [];
  const sin = Math.sin((bearing * Math.PI) / 180);
  const cos = Math.cos((bearing * Math.PI) / 180);
  for (let k = 0; k < count; k++) {
    const aside = (k - (count - 1) / 2) * spacing;
    const way = k % 2 === 0 ? 1 : -1;
    for (let i = 0; i < 400; i++) {
      const along = way * (-100 + i * 0.5);
      const [east, north] = [along * sin + aside * cos, along * cos - aside * sin];
      const depth = (bottom(east, north) + offset + 0.05 * noise()) * factor;
      const behind = way * speed * lagSeconds;
      rows.push([east - behind * sin, north - behind * cos, depth, time + k * 140 + i * 0.2]);
    }
  }
  return reduced(makeLog(rows, 45, -93, options.file ?? 'made.csv'));
}

/** Splits a log into passes and reduces it to blocks, as for the survey. */
export function reduced(log: SoundingLog): SoundingLog {
  const pass = runOnLog(passes, log).change.columns!.pass!;
  const blocks = runOnLog(reduceBlocks, { ...log, pass }).change.reduced!;
  return { ...log, ...blocks, line: new Uint32Array(blocks.count) };
}
