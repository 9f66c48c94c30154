import { type LengthUnit, METERS_PER, type Survey } from '../../contract/index.ts';
import { medianOf } from '../../math/index.ts';
import { distanceBetween } from '../steps.ts';

/** Units that depths are logged in. */
export type DepthUnit = Extract<LengthUnit, 'm' | 'ft' | 'fm'>;

/** A unit taken for another: depths came out as `factor` times the true ones. */
export interface WrongUnit {
  readonly readAs: DepthUnit;
  readonly is: DepthUnit;
  readonly factor: number;
}

const DEPTH_UNITS = ['m', 'ft', 'fm'] as const;

/** Units that may have been taken for each unit. */
export const wrongUnitsOf = (readAs: DepthUnit): WrongUnit[] =>
  DEPTH_UNITS.filter((is) => is !== readAs).map((is) => ({
    readAs,
    is,
    factor: METERS_PER[readAs] / METERS_PER[is],
  }));

/** A row from which on depths are `factor` times those before, in one step, and stay so. */
export interface UnitStep {
  /** First row after it; the row before may be a mean of both units. */
  readonly row: number;
  readonly factor: number;
}

/** Rows on each side that depths are taken over, and how near the ratio of the two sides is to that of two units. */
const SIDE = 4;
const FEWEST = 3;
const NEAR = 0.06;
/** Shallowest depth with a meaningful ratio, m, and the least step, m. */
const LEAST_DEPTH = 0.7;
const LEAST_STEP = 1;
/** How much depths may vary on a side, as a share of the step. */
const SMOOTH = 0.3;
/** Longest way over which depths on the two sides are the same bottom, m. */
const APART = 40;

/** Steps of a survey that are the ratio of two units, ascending by row. */
export function findUnitSteps(survey: Survey): UnitStep[] {
  const { count, depth, log } = survey;
  const steps: UnitStep[] = [];
  for (let row = 1; row < count; row++) {
    if (log[row] !== log[row - 1]) continue;
    // Most rows are like the second one before, so a comparison of each pair is usually all.
    const before = row > 1 && log[row - 2] === log[row] ? depth[row - 2] : depth[row - 1];
    const ratio = depth[row] / before;
    if (ratio > 0.7 && ratio < 1.4) continue;
    const factor = stepAt(survey, row);
    if (factor === undefined) continue;
    steps.push({ row, factor });
    row += 2;
  }
  return steps;
}

/** Ratio of two units that matches the step before a row; undefined where none does. */
function stepAt(survey: Survey, row: number): number | undefined {
  const { depth, lat, lon, log, count } = survey;
  const isMixed = row > 1 && isBetween(depth[row - 1], depth[row - 2], depth[row]);
  const last = isMixed ? row - 2 : row - 1;
  const sideOf = (from: number, way: 1 | -1): number[] => {
    const found: number[] = [];
    for (let i = from; i >= 0 && i < count && log[i] === log[row] && found.length < SIDE; i += way) {
      if (distanceBetween(lat[i], lon[i], lat[row], lon[row]) > APART) break;
      found.push(depth[i]);
    }
    return found;
  };
  const before = sideOf(last, -1);
  const after = sideOf(row, 1);
  if (before.length < FEWEST || after.length < FEWEST) return undefined;
  const ratio = depth[row] / depth[last];
  const step = Math.abs(depth[row] - depth[last]);
  const isPlain =
    Math.min(...before, ...after) >= LEAST_DEPTH &&
    step >= LEAST_STEP &&
    // A side in the larger unit varies by as much more.
    rangeOf(before) / medianOf(before) <= SMOOTH * (step / Math.max(depth[row], depth[last])) &&
    rangeOf(after) / medianOf(after) <= SMOOTH * (step / Math.max(depth[row], depth[last]));
  if (!isPlain) return undefined;
  return UNIT_FACTORS.find((factor) => Math.abs(ratio / factor - 1) <= NEAR);
}

/** Only steps between meters and feet: weed and ledges cause factors of 1.8, as fathoms do. */
const UNIT_FACTORS = DEPTH_UNITS.flatMap((readAs) => wrongUnitsOf(readAs).map(({ factor }) => factor)).filter(
  (factor) => Math.abs(Math.log(factor)) > 1,
);
const isBetween = (middle: number, a: number, b: number): boolean =>
  middle > 1.05 * Math.min(a, b) && middle < Math.max(a, b) / 1.05;
const rangeOf = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);
