import type { Survey } from '../../shared/contract/index.ts';
import { localFrame } from '../../shared/geo/index.ts';
import type { ModeledLake } from '../page/index.ts';
import type { Progress } from './progress.ts';

/** Cells in which soundings are counted, m, and the most of them for a map: about 2.5 km2, 10 s of work. */
const CELL = 25;
const MOST_CELLS = 4000;

/**
 * The model of the whole lake for the map of a page.
 *
 * @returns Undefined where nothing was sounded, and where so much was that the page would wait for its map: `lake` models that.
 */
export async function modeledLake(survey: Survey, progress: Progress): Promise<ModeledLake | undefined> {
  if (survey.count === 0 || soundedCells(survey) > MOST_CELLS) return undefined;
  const [{ makeLakeGrid }, { findLakeLines }, { findLakeAreas }] = await Promise.all([
    import('../../shared/lake/lake-grid.ts'),
    import('../../shared/lake/lake-lines.ts'),
    import('../../shared/lake/lake-areas.ts'),
  ]);
  const grid = makeLakeGrid(survey, undefined, (share) => progress.show('Modeling the lake', share));
  return grid && { grid, lines: findLakeLines(grid), areas: findLakeAreas(grid) };
}

/** How many cells hold a sounding; counting ends where there are too many. */
function soundedCells({ count, lat, lon }: Survey): number {
  const frame = localFrame(lat[count >> 1], lon[count >> 1]);
  const cells = new Set<string>();
  for (let i = 0; i < count && cells.size <= MOST_CELLS; i++) {
    const [east, north] = frame.toLocal(lat[i], lon[i]);
    cells.add(`${Math.round(east / CELL)} ${Math.round(north / CELL)}`);
  }
  return cells.size;
}
