import { sortBy } from 'es-toolkit/array';
import { memoize } from 'es-toolkit/function';
import { METERS_PER } from '../contract/index.ts';
import type { CastOptions } from './common-options.ts';
import { diveTable } from './dive-table.ts';
import { launcher } from './launches.ts';
import { parseLine } from './line.ts';
import { readLureBox } from './lure-box.ts';
import { freeDepth, genericLures, type Lure } from './lures.ts';
import { USUAL_HANDLING } from './rig.ts';
import { scratch } from './scratch.ts';
import { longestFactor, parseWind } from './wind.ts';

/** Depth by which a lure may miss the deep edge of the fish band and still count as deep enough, m: 1 ft. */
export const REACH_ALLOWANCE = METERS_PER.ft;

/** Length of the second cast for which a lure's depth is computed, as a share of the longest cast. */
const SHORT_SHARE = 0.6;

type TackleOptions = Pick<CastOptions, 'line' | 'cast'> & Partial<Pick<CastOptions, 'lures' | 'wind'>>;

/** Longest cast of a dive table as a multiple of the longest cast in the wind, which a cast may exceed. */
const BEYOND = 1.3;

export type Tackle = ReturnType<typeof tackleOf>;

/**
 * Makes the user's tackle from the options of a plugin.
 *
 * @returns `lures` are sorted by the depth that they reach, shallowest first. `longestCast` is the longest
 *   cast in still air, m. The functions take or return an index in `lures`, with lengths in m.
 * @throws RangeError if `options.line` does not describe a line: a bug in the caller, because options are
 *   checked earlier.
 */
export function tackleOf(options: TackleOptions) {
  const wind = options.wind === undefined ? undefined : parseWind(options.wind);
  const farthest = BEYOND * longestFactor(wind) * options.cast;
  const room = scratch(farthest);
  const own = options.lures === undefined ? [] : readLureBox(options.lures).lures;
  const usual = own.length > 0 ? own : genericLures();
  const line = parseLine(options.line);
  if (line === undefined) throw new RangeError(`line ${JSON.stringify(options.line)}`);
  const handling = USUAL_HANDLING;
  const longest = options.cast;
  const depthOn = ({ drag }: Lure, cast: number): number =>
    freeDepth({ cast, line, lure: drag, handling }, room);
  // Observed depths may put the lures in another order than their labels.
  const lures = own.some(({ isCalibrated }) => isCalibrated)
    ? sortBy(usual, [(lure) => depthOn(lure, longest)])
    : usual;

  /** For each lure, the depth on the longest cast, m, and the exponent p: depth grows as cast^p. */
  const curves = lures.map((lure): readonly [deep: number, power: number] => {
    const deep = depthOn(lure, longest);
    return [deep, Math.log(depthOn(lure, SHORT_SHARE * longest) / deep) / Math.log(SHORT_SHARE)];
  });
  /** Returns the greatest depth that a lure reaches on a cast over deep water, m. */
  const reach = (index: number, cast: number): number => {
    const [deep, power] = curves[index];
    return deep * (cast / longest) ** power;
  };
  /**
   * Returns a function from the length of a cast, m, to the index of the lure for it: the shallowest lure
   * that gets within `REACH_ALLOWANCE` of the band's deep edge or deeper, or the deepest lure if none does.
   */
  const lurePicker = (bandBottom: number): ((cast: number) => number) => {
    const depth = Math.max(bandBottom - REACH_ALLOWANCE, 0);
    const casts = curves.map(([deep, power]) => longest * (depth / deep) ** (1 / power));
    return (cast) => {
      let lure = 0;
      while (lure < casts.length - 1 && !(cast >= casts[lure])) lure++;
      return lure;
    };
  };
  const table = memoize((index: number) => diveTable({ line, handling }, lures[index].drag, farthest, room));
  const launches = launcher(lures, { line, handling }, room);
  return { lures, line, handling, longestCast: longest, reach, lurePicker, table, launches, scratch: room };
}
