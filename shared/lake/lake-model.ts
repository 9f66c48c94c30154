import type { Soundings } from '../contract/index.ts';
import { findLakeAreas, type LakeArea } from './lake-areas.ts';
import { formRounds } from './lake-forms.ts';
import { gridRounds, type LakeGrid, type LakeGridOptions } from './lake-grid.ts';
import { findLakeLines, type LakeLine } from './lake-lines.ts';
import { type Rounds, runInline } from './rounds.ts';

export interface LakeModel {
  readonly grid: LakeGrid;
  readonly lines: readonly LakeLine[];
  readonly areas: readonly LakeArea[];
}

const GRID_SHARE = 0.7;

/**
 * Models the whole lake in this thread.
 *
 * @returns undefined without soundings. @throws RangeError when the soundings span too much ground.
 */
export const makeLakeModel = (
  soundings: Soundings,
  options?: LakeGridOptions,
  progress?: (share: number) => void,
): LakeModel | undefined => runInline(modelRounds(soundings, options), progress);

export function* modelRounds(soundings: Soundings, options?: LakeGridOptions): Rounds<LakeModel | undefined> {
  const grid = yield* gridRounds(soundings, options, GRID_SHARE);
  if (grid === undefined) return undefined;
  const forms = yield* formRounds(grid, GRID_SHARE);
  return { grid, lines: findLakeLines(grid, forms), areas: findLakeAreas(grid, forms) };
}
