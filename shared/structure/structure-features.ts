import { CELL_SIZE, cubicAt, GRID_SIZE, ringMean } from '../bottom/index.ts';
import type { BottomModel, LakeBottom } from '../contract/index.ts';
import { groundOf, patchesOf } from '../lake/index.ts';
import { type StructureFeatures, structureFeatures } from './features/features.ts';
import { EAST, NORTH } from './features/height-field.ts';

/** Number of orientations of the grid, so that a word does not depend on the direction of the lattice. */
const TURNS = 4;

/** A value for each orientation, from its turn in rad. */
const forEachTurn = <T>(of: (turn: number) => T): T[] =>
  Array.from({ length: TURNS }, (_, k) => of((k * Math.PI) / 2 / TURNS));

/**
 * Features of a modeled bottom with its own uncertainty, one set for each of four orientations of the grid, the first not
 * turned; undefined when it has no grid.
 */
export function featuresOfModel(model: BottomModel): StructureFeatures[] | undefined {
  const { grid, passSpacing } = model;
  if (grid === undefined) return undefined;
  const uncertainty = { passSpacing, sd24: ringMean(grid.sd, 24), sd60: ringMean(grid.sd, 60) };
  return forEachTurn((turn) =>
    structureFeatures(turn === 0 ? grid.depth : turned(grid.depth, turn), uncertainty),
  );
}

/** The lattice with its first axis turned from east toward north, rad; beyond the edge, the nearest edge value. */
function turned(lattice: Float64Array, turn: number): Float64Array {
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  return lattice.map(
    (_, node) =>
      cubicAt(lattice, cos * EAST[node] - sin * NORTH[node], sin * EAST[node] + cos * NORTH[node])[0],
  );
}

/** The lake's bottom is smoothed over 6 m before its features are measured. */
const patchAt = patchesOf({ size: GRID_SIZE, cell: CELL_SIZE, smoothing: 6 });
/** The lake's bottom carries no uncertainty of its own here, so the table gets that of a usual survey. */
const USUAL = { passSpacing: 30, sd24: 0.15, sd60: 0.2 };
/**
 * Features of the lake's bottom around a place, one set for each of four orientations of the grid from the lake's axis;
 * undefined where the lake's bottom is not known.
 */
export function featuresOnLake(lake: LakeBottom, lat: number, lon: number): StructureFeatures[] | undefined {
  const ground = groundOf(lake);
  const seen = forEachTurn((turn) => {
    const patch = patchAt(ground, lake.depth, lat, lon, lake.axis + turn);
    return patch && structureFeatures(patch, USUAL);
  });
  return seen.every((each) => each !== undefined) ? seen : undefined;
}
