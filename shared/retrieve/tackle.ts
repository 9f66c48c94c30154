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

/** Distance from the deep edge of the fish band within which a lure reaches the band, m: 1 ft. Chosen. */
export const REACH_ALLOWANCE = METERS_PER.ft;

/** Share of the longest cast on which a lure's depth is computed again, to fit a power of the cast. */
const SHORT_SHARE = 0.6;

type TackleOptions = Pick<CastOptions, 'line' | 'cast'> & Partial<Pick<CastOptions, 'lures' | 'wind'>>;

/** Longest cast in dive tables, in longest casts of the user: the end of a table must be out of reach. */
const BEYOND = 1.3;

export type Tackle = ReturnType<typeof tackleOf>;

/**
 * Makes the user's tackle from the options of a plugin.
 *
 * @returns Lures by the depth that they reach, shallowest first, and functions that take an index in `lures`
 * and lengths in m. `longestCast` is the longest cast in still air, m.
 * @throws RangeError for text that is not a line: the caller's bug, because options are checked earlier.
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
  // Sort by the depth reached: the user's own observations may change the order of the labels.
  const lures = own.some(({ isCalibrated }) => isCalibrated)
    ? sortBy(usual, [(lure) => depthOn(lure, longest)])
    : usual;

  /** Depth of each lure on the longest cast, m, and the power of the cast with which that depth grows. */
  const curves = lures.map((lure): readonly [deep: number, power: number] => {
    const deep = depthOn(lure, longest);
    return [deep, Math.log(depthOn(lure, SHORT_SHARE * longest) / deep) / Math.log(SHORT_SHARE)];
  });
  /** Returns the greatest depth of a lure on a cast over deep water, m. */
  const reach = (index: number, cast: number): number => {
    const [deep, power] = curves[index];
    return deep * (cast / longest) ** power;
  };
  /**
   * Makes a function from a cast, m, to the index of the shallowest lure that reaches the band's deep edge
   * within `REACH_ALLOWANCE`, or of the deepest lure if none does.
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
