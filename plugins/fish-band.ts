import { SCREEN_SD } from '../shared/bottom/index.ts';
import {
  type DepthRange,
  type DisplayUnits,
  defineWaypointPlugin,
  type FieldValues,
  METERS_PER,
} from '../shared/contract/index.ts';
import { dateOption, fishDepthOption, unitsOption, waterLevelOption } from '../shared/retrieve/index.ts';
import { levelChange, levelsOption } from '../shared/survey/index.ts';
import {
  fishNoteText,
  isProposed,
  type MarkDepth,
  markDepthOf,
  proposedDepthText,
  readFishNote,
  fishMessages as say,
} from '../shared/text/index.ts';

/** Distance above and below the mark's depth within which fish without stated depths are assumed, m: 3 ft. */
const ALLOWANCE = 3 * METERS_PER.ft;
/** Share of the mark's depth that replaces `ALLOWANCE` if less, as in shallow water. */
const SHALLOW_SHARE = 0.25;

export const fishBand = defineWaypointPlugin({
  name: 'fish-band',
  summary:
    "Finds the depth band of the fish: from the waypoint's note, else from --fish-depth, else 3 ft (less in shallow water) above and below the mark's depth.",
  stage: 'waypoint',
  options: {
    units: unitsOption,
    fishDepth: fishDepthOption,
    levels: levelsOption,
    today: waterLevelOption,
    date: dateOption,
  },
  requires: [],
  uses: ['depth', 'pass_depth', 'pass_depth_sd', 'slope', 'slope_sd'],
  provides: ['fish_top', 'fish_bottom', 'fish_source', 'fish_note', 'mark_depth'],
  run({ waypoint, fields }, options, context) {
    const { fishDepth, units } = options;
    const note = readFishNote(waypoint, units);
    const mark = markDepthOf(waypoint, units);
    const level = levelChange(waypoint.time, options);
    const found = mark === undefined ? undefined : compare(mark, level, fields, units);
    const source: FieldValues['fish_source'] =
      note.band !== undefined ? 'note' : fishDepth !== undefined ? 'option' : 'depth';
    if (found?.isContradicted)
      context.report(say['mark-depth'](undefined, found, fields.pass_depth!, source === 'depth', units));
    if (found?.isFeet)
      context.report(say['mark-depth-unit'](undefined, mark!.depth, fields.pass_depth!, units));
    const band =
      note.band ??
      fishDepth ??
      bandAround(found?.isContradicted ? found.depth : (fields.depth ?? found?.depth));
    const markDepth = found === undefined ? {} : { mark_depth: found.written };
    if (band === undefined) {
      // Without sonar there is no cast, whatever the depth of the fish.
      if (fields.depth !== undefined) context.report(say.band(undefined));
      return markDepth;
    }
    const hasText = `${waypoint.comment}${waypoint.description}`.trim() !== '';
    return {
      fish_top: band.top,
      fish_bottom: band.bottom,
      fish_source: source,
      fish_note:
        source === 'depth' && isProposed(waypoint)
          ? proposedDepthText(band, units)
          : fishNoteText(note, { band, source }, hasText, units),
      ...markDepth,
    };
  },
});

function bandAround(depth: number | undefined): DepthRange | undefined {
  if (depth === undefined || !(depth > 0)) return undefined;
  const allowance = Math.min(ALLOWANCE, SHALLOW_SHARE * depth);
  return { top: depth - allowance, bottom: depth + allowance };
}

/** Standard deviation of a mark's position along one axis, m, for a horizontal error of 3 m rms. */
const POSITION_SD = 3 / Math.SQRT2;
/** Maximum difference between depths that agree, in standard deviations of the difference. */
const CONTRADICTION = 2;

type Passes = Partial<Pick<FieldValues, 'pass_depth' | 'pass_depth_sd' | 'slope' | 'slope_sd'>>;

/** The depth in a mark, compared with the depth of the passes. */
interface Compared {
  /** Depth as written in the mark, m. */
  readonly written: number;
  /** The written depth, converted to the water level of the plan, m. */
  readonly depth: number;
  readonly isContradicted: boolean;
  /** The number in the mark if it has no unit and was read as meters. */
  readonly number?: number;
  /** True when such a number is read as feet after all. */
  readonly isFeet: boolean;
}

/**
 * Compares the depth in a mark with the depth of the passes. A number that has no unit and was read as meters
 * is read as feet if only the value in feet agrees.
 *
 * @param level Change in depth from the water level of the mark's day to the plan's, and the standard
 * deviation of the change, m.
 */
function compare(
  { depth, isUnitKnown, source }: MarkDepth,
  { change, sd }: ReturnType<typeof levelChange>,
  passes: Passes,
  units: DisplayUnits,
): Compared {
  const isNumber = !isUnitKnown && (source === 'extension' || units === 'm');
  const asRead = {
    ...{ written: depth, depth: Math.max(0, depth + change), number: isNumber ? depth : undefined },
    ...{ isContradicted: false, isFeet: false },
  };
  if (passes.pass_depth === undefined || agrees(asRead.depth, sd, passes)) return asRead;
  const written = depth * METERS_PER.ft;
  const inFeet = { ...asRead, written, depth: Math.max(0, written + change), isFeet: true };
  if (isNumber && agrees(inFeet.depth, sd, passes)) return inFeet;
  return { ...asRead, isContradicted: true };
}

function agrees(
  depth: number,
  levelSd: number,
  { pass_depth: passes = 0, pass_depth_sd: sd = 0, slope = 0, slope_sd: slopeSd = 0 }: Passes,
): boolean {
  const tangent = (degrees: number): number => Math.tan((degrees * Math.PI) / 180);
  const position = POSITION_SD * Math.hypot(tangent(slope), tangent(slopeSd));
  return Math.abs(depth - passes) <= CONTRADICTION * Math.hypot(SCREEN_SD, levelSd, position, sd);
}
