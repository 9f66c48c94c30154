import type { Soundings } from '../contract/index.ts';
import { bilinear } from '../math/index.ts';
import { binErrors } from './bin-errors.ts';
import { type Bins, binPasses } from './bins.ts';
import { evenBending, type LakeBending, learnBending, loosen, refine } from './lake-bending.ts';
import { type GroundLattice, nodeOf } from './lake-bottom.ts';
import { findLooseness, holdOut } from './loosening.ts';
import {
  anchoredFrame,
  coarsen,
  nearestSounding,
  type PlacedLattice,
  placeLattice,
} from './place-lattice.ts';
import { type Round, type Rounds, runInline } from './rounds.ts';
import {
  addTile,
  BinsByTile,
  blendWeights,
  soundedTiles,
  type TilePlace,
  type TileTask,
  tileTask,
} from './tiles.ts';

/** The whole sounded bottom of a lake on one lattice, with samples (draws) of the possible bottom. */
export interface LakeGrid extends GroundLattice {
  /** Depth, m, positive down; NaN where no bin is within reach. */
  readonly depth: Float32Array;
  /** Standard deviation of the depth, m; NaN where `depth` is NaN. */
  readonly sd: Float32Array;
  /** Depths of equally likely bottoms, m; NaN where `depth` is NaN. */
  readonly draws: readonly Float32Array[];
  /** Distance to the nearest bin of soundings (`Bins`), m; infinite beyond reach. */
  readonly distance: Float32Array;
}

export interface LakeGridOptions {
  /** Node spacing, m. */
  readonly cell: number;
  /** Maximum distance from a bin of soundings at which a depth is given, m. */
  readonly reach: number;
  /** Number of draws. Mean and draws are solved four at a time, so 4 n - 1 draws waste no work. */
  readonly draws: number;
}

export const LAKE_GRID: LakeGridOptions = { cell: 5, reach: 22, draws: 15 };

const LEARNING_DRAWS = 7;
/** Number of rounds that learn how the bottom bends. */
const ROUNDS = 2;

/**
 * Models the bottom of the whole lake from its soundings: mean, standard deviation and draws on one lattice.
 *
 * The lattice runs along most passes, so the answer hardly depends on how the lake is rotated. The lattice
 * rarely moves on the ground when more is sounded, and the order of passes does not matter. Two rounds on
 * a lattice with twice the node spacing learn how much the bottom bends around each node, along the contour
 * and down the fall line. A third round leaves out some soundings, to find how loose the sheet must be for
 * the stated intervals to hold. Work grows linearly with the sounded area, memory with the rectangle around
 * that area.
 *
 * @param soundings All soundings of the lake, relative to the plan's water surface, with the rows of each
 * pass in the order taken.
 * @param progress Receives the share of the work done, 0 to 1.
 * @returns undefined without soundings.
 * @throws RangeError when the rectangle around the soundings would have more than 12 million nodes.
 */
export function makeLakeGrid(
  soundings: Soundings,
  options: LakeGridOptions = LAKE_GRID,
  progress: (share: number) => void = () => {},
): LakeGrid | undefined {
  return runInline(gridRounds(soundings, options), progress);
}

/** Models the bottom in rounds of tiles. @param share Share of the whole work that the grid takes, 0 to 1. */
export function* gridRounds(
  soundings: Soundings,
  options: LakeGridOptions = LAKE_GRID,
  share = 1,
): Rounds<LakeGrid | undefined> {
  if (soundings.count === 0) return undefined;
  const frame = anchoredFrame(soundings);
  const bins = binPasses(soundings, frame);
  const laid = placeLattice(bins, options.cell, options.reach);
  const distance = nearestSounding(laid.lattice, laid.nodes, options.reach);
  const mask = maskOf(distance, options.reach);
  const coarse = coarsen(laid);
  const coarseMask = maskOf(nearestSounding(coarse.lattice, coarse.nodes, options.reach), options.reach);
  const tiling = tilingOf(coarse, coarseMask);
  let learned = evenBending(coarse.lattice);
  for (let round = 0; round < ROUNDS; round++) {
    const sheets = new Sheets(coarse, tiling, bins, learned, LEARNING_DRAWS);
    yield sheets.round(
      (share * round * LEARNING_SHARE) / (ROUNDS + 1),
      (share * LEARNING_SHARE) / (ROUNDS + 1),
    );
    learned = learnBending(coarse.lattice, coarseMask, sheets.bottoms[0], sheets.bottoms.slice(1));
  }
  const held = holdOut(coarse, bins);
  const bending = loosen(learned, 1 / COARSER ** 2);
  const trial = new Sheets(held.kept.laid, tiling, held.kept.bins, bending, LEARNING_DRAWS);
  yield trial.round(
    (share * ROUNDS * LEARNING_SHARE) / (ROUNDS + 1),
    (share * LEARNING_SHARE) / (ROUNDS + 1),
  );
  const looseness = findLooseness(held, trial.bottoms, bending);
  const sheets = new Sheets(
    laid,
    tilingOf(laid, mask),
    bins,
    refine(loosen(learned, looseness), coarse.lattice, laid.lattice),
    options.draws,
  );
  yield sheets.round(share * LEARNING_SHARE, share * (1 - LEARNING_SHARE));
  for (const bottom of sheets.bottoms)
    for (let k = 0; k < mask.length; k++) if (!mask[k]) bottom[k] = Number.NaN;
  const [depth, ...draws] = sheets.bottoms;
  return {
    ...laid.lattice,
    frame,
    axis: laid.axis,
    x0: laid.column0 * options.cell,
    y0: laid.row0 * options.cell,
    depth,
    sd: spread(depth, draws),
    draws,
    distance,
  };
}

/** Share of the work spent on learning, for reporting progress. */
const LEARNING_SHARE = 0.2;
/**
 * Node spacing of the learning rounds divided by the node spacing of the grid. With equal variances at each
 * node, a sheet on more widely spaced nodes bends more easily, by the square of this ratio.
 */
const COARSER = 2;

const maskOf = (distance: Float32Array, reach: number): Uint8Array =>
  new Uint8Array(distance.length).map((_, k) => (distance[k] <= reach ? 1 : 0));

interface Tiling {
  readonly places: readonly TilePlace[];
  readonly weights: Float32Array;
}

function tilingOf(laid: PlacedLattice, mask: Uint8Array): Tiling {
  const places = soundedTiles(laid, mask);
  return { places, weights: blendWeights(laid, places) };
}

/** Mean and draws over the whole lake, assembled tile by tile; 0 where no tile was solved. */
class Sheets {
  readonly bottoms: Float32Array[];
  readonly #tiling: Tiling;
  readonly #taskAt: (k: number) => TileTask;
  readonly #laid: PlacedLattice;

  constructor(laid: PlacedLattice, tiling: Tiling, bins: Bins, bending: LakeBending, draws: number) {
    const { places, weights } = tiling;
    const byTile = new BinsByTile(laid);
    const errors = binErrors(laid, bins, bending);
    this.#laid = laid;
    this.#tiling = tiling;
    this.#taskAt = (k) => tileTask(laid, places[k], bins, byTile.near(places[k]), errors, bending, draws);
    this.bottoms = Array.from({ length: draws + 1 }, () => new Float32Array(weights.length));
  }

  round(from: number, share: number): Round {
    const { places, weights } = this.#tiling;
    const count = places.length;
    return {
      count,
      taskAt: this.#taskAt,
      shareAt: (k) => from + (share * (k + 1)) / count,
      take: (k, solved) => addTile(this.#laid, places[k], solved, weights, this.bottoms),
    };
  }
}

function spread(mean: Float32Array, draws: readonly Float32Array[]): Float32Array {
  const sums = new Float32Array(mean.length);
  for (const draw of draws) for (let k = 0; k < sums.length; k++) sums[k] += (draw[k] - mean[k]) ** 2;
  return sums.map((sum) => Math.sqrt(sum / Math.max(1, draws.length)));
}

/** Interpolates values of the nodes at a place; NaN where one of the four surrounding nodes has no value. */
export function atPlace(grid: GroundLattice, values: ArrayLike<number>, lat: number, lon: number): number {
  return bilinear(grid, values, ...nodeOf(grid, lat, lon));
}

/** Finds the node nearest a place; undefined off the lattice. */
export function nodeAt(grid: LakeGrid, lat: number, lon: number): number | undefined {
  const [x, y] = nodeOf(grid, lat, lon).map(Math.round);
  return x >= 0 && y >= 0 && x < grid.columns && y < grid.rows ? y * grid.columns + x : undefined;
}
