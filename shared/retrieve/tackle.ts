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

/** A lure that comes this close to the deep edge of the fish band reaches it, m: 1 ft. */
export const REACH_ALLOWANCE = METERS_PER.ft;

/** A lure's depth is computed on the longest cast and on this share of it; on other casts it follows a power of the cast. */
const SHORT_SHARE = 0.6;

/** Options that decide the tackle. */
type TackleOptions = Pick<CastOptions, 'line' | 'cast'> & Partial<Pick<CastOptions, 'lures' | 'wind'>>;

/**
 * Dive tables and scratch arrays cover this many times the longest cast, so that bottom beyond the reach of a
 * cast is beyond its reach in the table too.
 */
const BEYOND = 1.3;

export type Tackle = ReturnType<typeof tackleOf>;

/**
 * What the user fishes with, and how deep the lures reach, from the options of a plugin.
 *
 * @returns Lures in order of the depth they reach, shallowest first, and functions that take a lure's index in
 * that order and lengths in m. `longestCast` is the longest cast in still air, m.
 * @throws RangeError for text that is not a line: the caller's bug, because options are checked before a plugin runs.
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

  /** Depth of each lure on the longest cast, m, and the power of the cast that its depth follows. */
  const curves = lures.map((lure): readonly [deep: number, power: number] => {
    const deep = depthOn(lure, longest);
    return [deep, Math.log(depthOn(lure, SHORT_SHARE * longest) / deep) / Math.log(SHORT_SHARE)];
  });
  /** Greatest depth of a lure over deep water on a cast, m. */
  const reach = (index: number, cast: number): number => {
    const [deep, power] = curves[index];
    return deep * (cast / longest) ** power;
  };
  /**
   * Picks a lure for a band: the shallowest that reaches to within 1 ft of the band's deep edge.
   *
   * @returns a function from the cast, m, to the index in `lures`; the deepest lure when none reaches.
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
  /** Dive table of a lure for every cast that the wind allows. */
  const table = memoize((index: number) => diveTable({ line, handling }, lures[index].drag, farthest, room));
  const launches = launcher(lures, { line, handling }, room);
  return { lures, line, handling, longestCast: longest, reach, lurePicker, table, launches, scratch: room };
}
