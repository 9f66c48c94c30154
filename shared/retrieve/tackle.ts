import type { CsvFile } from '../contract/options.ts';
import { METERS_PER } from '../geo/units.ts';
import { parseLine } from './line.ts';
import { readLureBox } from './lure-box.ts';
import { freeDepth, genericLures, type Lure } from './lures.ts';
import { emptyPath, type RetrievePath } from './path.ts';
import { type Workspace, workspace } from './retrieve.ts';
import { type Handling, type Line, type LureDrag, USUAL_HANDLING } from './rig.ts';

/** A lure that comes this close to the deep edge of the fish band reaches it, m: 1 ft. */
export const REACH_ALLOWANCE = METERS_PER.ft;

/** Two casts, as shares of the longest, at which a lure's depth is computed; a power of the cast goes between. */
const SHORT_SHARE = 0.6;

/** A lure that reaches on a cast as short as this reaches on every cast that is planned, m. */
const SURE_CAST = 10;

/** What the person fishes with, and what its lures reach. */
export interface Tackle {
  /** By what they reach, shallowest first. */
  readonly lures: readonly Lure[];
  readonly line: Line;
  readonly handling: Handling;
  /** Longest cast in still air, m. */
  readonly longestCast: number;
  /** Greatest depth, m, of a lure (by place in `lures`) over deep water on a cast, m. */
  reach(lure: number, cast: number): number;
  /**
   * The lure for a band by the cast: the shallowest that reaches to within 1 ft of the band's deep edge.
   *
   * @returns Place in `lures`, by the cast, m; the deepest when none reaches.
   */
  lurePicker(bandBottom: number): (cast: number) => number;
}

/** Scratch of the retrieve model, shared by everything one plan computes. */
export interface Scratch {
  readonly path: RetrievePath;
  readonly work: Workspace;
}

export const scratch = (): Scratch => ({ path: emptyPath(), work: workspace() });

/**
 * Tackle from the options of a plugin.
 *
 * @throws RangeError for a line that is none: options are checked before a plugin runs.
 */
export function tackleOf(
  options: { readonly line: string; readonly cast: number; readonly lures?: CsvFile },
  { path, work }: Scratch,
): Tackle {
  const own = options.lures === undefined ? [] : readLureBox(options.lures).lures;
  const usual = own.length > 0 ? own : genericLures();
  const line = parseLine(options.line);
  if (line === undefined) throw new RangeError(`line ${JSON.stringify(options.line)}`);
  const handling = USUAL_HANDLING;
  const longest = options.cast;
  const depthOn = (lure: LureDrag, cast: number): number =>
    freeDepth({ cast, line, lure, handling }, path, work);
  // By what they reach: the person's own observations may turn the order of the labels round.
  const lures = own.some(({ isCalibrated }) => isCalibrated)
    ? usual
        .map((lure) => ({ lure, depth: depthOn(lure.drag, longest) }))
        .sort((a, b) => a.depth - b.depth)
        .map(({ lure }) => lure)
    : usual;
  const known = new Map<number, readonly [longest: number, power: number]>();

  const curveOf = (index: number): readonly [longest: number, power: number] => {
    let curve = known.get(index);
    if (curve === undefined) {
      const { drag } = lures[index];
      const deep = depthOn(drag, longest);
      const power = Math.log(depthOn(drag, SHORT_SHARE * longest) / deep) / Math.log(SHORT_SHARE);
      curve = [deep, power];
      known.set(index, curve);
    }
    return curve;
  };
  const reach = (index: number, cast: number): number => {
    const [deep, power] = curveOf(index);
    return deep * (cast / longest) ** power;
  };
  const castToReach = (index: number, depth: number): number => {
    const [deep, power] = curveOf(index);
    return longest * (Math.max(depth, 0) / deep) ** (1 / power);
  };

  const lurePicker = (bandBottom: number): ((cast: number) => number) => {
    const depth = bandBottom - REACH_ALLOWANCE;
    const casts: number[] = [];
    for (let i = 0; i < lures.length; i++) {
      const cast = surelyShort(lures[i], depth, longest) ? Number.POSITIVE_INFINITY : castToReach(i, depth);
      casts.push(cast);
      // Shallower lures come first: one that reaches on any cast leaves nothing to those after it.
      if (cast <= SURE_CAST) break;
    }
    const last = lures.length - 1;
    return (cast) => {
      for (let i = 0; i < casts.length; i++) if (cast >= casts[i]) return i;
      return last;
    };
  };

  return { lures, line, handling, longestCast: longest, reach, lurePicker };
}

/** True for a lure whose label alone tells that it does not reach: no line brings it to 1.6 times that on a 45 m cast. */
const surelyShort = (lure: Lure, depth: number, longest: number): boolean =>
  !lure.isCalibrated && 1.6 * lure.label * (1.3 * (longest / 45)) ** 0.6 < depth;
