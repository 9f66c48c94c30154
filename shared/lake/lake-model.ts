import type { Soundings } from '../contract/index.ts';
import { formsOfLake } from './draw-forms.ts';
import { findLakeAreas, type LakeArea } from './lake-areas.ts';
import { type LakeGrid, type LakeGridOptions, makeLakeGrid } from './lake-grid.ts';
import { findLakeLines, type LakeLine } from './lake-lines.ts';

/** The whole lake: its grid and what was found on it. */
export interface LakeModel {
  readonly grid: LakeGrid;
  readonly lines: readonly LakeLine[];
  readonly areas: readonly LakeArea[];
}

/**
 * Models the whole lake in one thread.
 *
 * @returns undefined without soundings. @throws RangeError where they span too much ground for one grid.
 */
export function makeLakeModel(
  soundings: Soundings,
  options?: LakeGridOptions,
  progress?: (share: number) => void,
): LakeModel | undefined {
  const grid = makeLakeGrid(soundings, options, progress);
  if (grid === undefined) return undefined;
  const forms = formsOfLake(grid);
  return { grid, lines: findLakeLines(grid, forms), areas: findLakeAreas(grid, forms) };
}
