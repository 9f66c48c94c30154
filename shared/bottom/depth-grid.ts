import type { DepthGrid, Unseen } from '../contract/index.ts';
import { gather } from '../math/index.ts';
import { calibrateDepth } from './calibration.ts';
import { mixtureOf, momentsOf } from './depth-mixture.ts';
import { CELL_SIZE, fillCoarse, fillLattice, GRID_SIZE, gradientAt } from './lattice.ts';
import { localDeviations } from './local-deviations.ts';
import { type BlockedSoundings, roughnessOf, type Surface } from './surface.ts';
import { nearestBlock } from './unseen.ts';

/** Correlation length of the grid's errors, as a share of the range or of the pass spacing, and its least value, m. */
const ALIKE = 0.5;
const MIN_ALIKE = 8;

/** Depths around the waypoint with their standard deviations. @param level Of the passes' common level, m. */
export function gridAround(
  surface: Surface,
  { blocks, passSpacing }: BlockedSoundings,
  supported: Uint8Array,
  { unseen, level }: { readonly unseen?: Unseen; readonly level?: number },
): DepthGrid {
  const { process, coordinate } = surface;
  const rough = roughnessOf(surface);
  const own = fillCoarse((east, north, node) =>
    localDeviations(process, passSpacing, east, north, gather(coordinate.lattice, node)).map((sd) =>
      Math.hypot(calibrateDepth(sd, passSpacing), rough),
    ),
  );
  const depth = fillLattice((east, north, node) => process.meanAt(east, north, coordinate.lattice[node]));
  const sd = fillLattice((east, north, node) => {
    const hidden = unseen && {
      unseen,
      distance: nearestBlock(blocks, east, north),
      gradient: gradientAt(depth, node),
    };
    return momentsOf(mixtureOf(0, own[node], { hidden, level })).sd;
  });
  return {
    size: GRID_SIZE,
    cellSize: CELL_SIZE,
    depth,
    sd,
    supported,
    range: Math.max(MIN_ALIKE, ALIKE * Math.min(process.params.range, passSpacing)),
  };
}
