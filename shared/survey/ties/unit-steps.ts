import { type LengthUnit, METERS_PER, type Survey } from '../../contract/index.ts';
import { medianOf } from '../../math/index.ts';
import { distanceBetween } from '../steps.ts';

export type DepthUnit = Extract<LengthUnit, 'm' | 'ft' | 'fm'>;

/** A unit mistaken for another: depths came out as `factor` times the true depths. */
export interface WrongUnit {
  readonly readAs: DepthUnit;
  readonly is: DepthUnit;
  readonly factor: number;
}

const DEPTH_UNITS = ['m', 'ft', 'fm'] as const;

/** Lists the units that a file read in a given unit may really be in. */
export const wrongUnitsOf = (readAs: DepthUnit): WrongUnit[] =>
  DEPTH_UNITS.filter((is) => is !== readAs).map((is) => ({
    readAs,
    is,
    factor: METERS_PER[readAs] / METERS_PER[is],
  }));

/** A step in depth: depths after the step are `factor` times the depths before it. */
export interface UnitStep {
  /** First row after the step; the row before may be a mean of depths in both units. */
  readonly row: number;
  readonly factor: number;
}

/** Maximum and minimum number of rows used on each side of a step. */
const SIDE = 4;
const FEWEST = 3;
/** Relative tolerance for matching the ratio of two units. */
const NEAR = 0.06;
/** Minimum depth on both sides of a step, m; ratios of smaller depths are meaningless. */
const MIN_DEPTH = 0.7;
const MIN_STEP = 1;
/** Maximum roughness of a side: (range / median of its depths) / (height of the step / deeper depth). */
const SMOOTH = 0.3;
/** Maximum distance from a step to a row that is used, m. */
const APART = 40;

/** Finds the steps at which depths change by a ratio of `UNIT_FACTORS`, ascending by row. */
export function findUnitSteps(survey: Survey): UnitStep[] {
  const steps: UnitStep[] = [];
  for (let row = 1; row < survey.count; row++) {
    const factor = stepAt(survey, row);
    if (factor === undefined) continue;
    steps.push({ row, factor });
    row += 2;
  }
  return steps;
}

/** Returns the ratio of two units by which the depth changes just before a row; undefined without a step. */
function stepAt(survey: Survey, row: number): number | undefined {
  const { depth, lat, lon, log, count } = survey;
  const isMixed = row > 1 && isBetween(depth[row - 1], depth[row - 2], depth[row]);
  const last = isMixed ? row - 2 : row - 1;
  const ratio = depth[row] / depth[last];
  const factor = UNIT_FACTORS.find((own) => Math.abs(ratio / own - 1) <= NEAR);
  if (factor === undefined) return undefined;
  const sideOf = (from: number, way: 1 | -1): number[] => {
    const found: number[] = [];
    for (let i = from; i >= 0 && i < count && log[i] === log[row] && found.length < SIDE; i += way) {
      if (distanceBetween(lat[i], lon[i], lat[row], lon[row]) > APART) break;
      found.push(depth[i]);
    }
    return found;
  };
  const sides = [sideOf(last, -1), sideOf(row, 1)];
  const step = Math.abs(depth[row] - depth[last]);
  const smooth = SMOOTH * (step / Math.max(depth[row], depth[last]));
  const isPlain =
    step >= MIN_STEP &&
    sides.every(
      (side) =>
        side.length >= FEWEST && Math.min(...side) >= MIN_DEPTH && rangeOf(side) / medianOf(side) <= smooth,
    );
  return isPlain ? factor : undefined;
}

/** Ratios of two units, without 1.8 and 1/1.8 (fathoms and meters), which weed and ledges also cause. */
const UNIT_FACTORS = DEPTH_UNITS.flatMap((readAs) => wrongUnitsOf(readAs).map(({ factor }) => factor)).filter(
  (factor) => Math.abs(Math.log(factor)) > 1,
);
const isBetween = (middle: number, a: number, b: number): boolean =>
  middle > 1.05 * Math.min(a, b) && middle < Math.max(a, b) / 1.05;
const rangeOf = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);
