import type { EnrichedWaypoint } from '../../shared/contract/index.ts';
import { indexSurvey } from '../../shared/survey/index.ts';
import { bottomFigure } from './bottom-figure.ts';
import type { FigureContext } from './figure-context.ts';
import { lakeMap } from './lake-map.ts';
import { planFigure } from './plan-figure.ts';
import type { ReportInput } from './report-input.ts';
import { sideFigure } from './side-figure.ts';

/** File name of the whole-lake map among the figures of `--svg`. */
export const OVERVIEW = 'overview.svg';

export const figureContext = ({ units, survey }: ReportInput): FigureContext => ({
  units,
  survey,
  index: indexSurvey(survey),
});

/** Draws the side views of a spot: one for each cast from a side, or the bottom alone without such a cast. */
export function sideFigures(spot: EnrichedWaypoint, context: FigureContext): { side: string; svg: string }[] {
  const sides = (['downslope', 'upslope'] as const).filter((side) => spot.fields[side] !== undefined);
  if (sides.length === 0) return [{ side: 'bottom', svg: bottomFigure(spot, context) }];
  return sides.map((side) => ({ side, svg: sideFigure(spot, side, context) }));
}

/**
 * Draws every figure of a report as a separate file, for `--svg FOLDER`: the map of the lake, then the plan
 * view and side views of each spot. The names of a spot's files are safe on any file system and begin with
 * the spot's number: `012-mark-name-plan.svg`.
 */
export function* figureFiles(input: ReportInput): Generator<{ readonly name: string; readonly svg: string }> {
  const context = { ...figureContext(input), isStandalone: true };
  yield { name: OVERVIEW, svg: lakeMap(input, true).svg };
  for (const spot of input.waypoints) {
    const base = fileBase(spot);
    yield { name: `${base}-plan.svg`, svg: planFigure(spot, context) };
    for (const { side, svg } of sideFigures(spot, context)) yield { name: `${base}-${side}.svg`, svg };
  }
}

function fileBase({ waypoint }: EnrichedWaypoint): string {
  const words = waypoint.name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40);
  const number = String(waypoint.index + 1).padStart(3, '0');
  return words === '' ? number : `${number}-${words}`;
}
