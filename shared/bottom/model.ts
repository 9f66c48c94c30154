import type { StructureWord } from '../contract/fields.ts';
import type { DepthSummary } from './depth-mixture.ts';

/**
 * How far the soundings round a waypoint carry; when several apply, the first of this order:
 *
 * - `no-data`: fewer than 6 soundings that can be used, or none within 40 m: nothing is said;
 * - `one-pass`: all nearby soundings on one line: depth only, no slope, no structure;
 * - `edge`: soundings on one side only: slope, no structure;
 * - `sparse`: passes far apart and depth between them uncertain: slope, no structure;
 * - `ok`.
 */
export type BottomStatus = 'ok' | 'sparse' | 'one-pass' | 'edge' | 'no-data';

/**
 * Square grid of nodes centered on the waypoint; row-major, rows from south to north, columns west to east.
 *
 * Node (row, column) is at east = (column - half) x cellSize, north = (row - half) x cellSize, half = (size - 1) / 2.
 * See `sample.ts` for depth, standard deviation and support at any place, and for draws.
 */
export interface DepthGrid {
  readonly size: number;
  /** m between nodes. */
  readonly cellSize: number;
  /** Mean depth, m, positive down. */
  readonly depth: Float64Array;
  /** Standard deviation of the depth, m. */
  readonly sd: Float64Array;
  /** 1 where soundings stand close enough to carry the depth, else 0: bottom nobody sounded. */
  readonly supported: Uint8Array;
  /** Distance over which errors of the depth are alike, m. */
  readonly range: number;
}

/** The modeled bottom round one waypoint, in local east-north meters about it. */
export interface BottomModel {
  readonly status: BottomStatus;
  /** deg; origin of east and north. */
  readonly lat: number;
  readonly lon: number;
  /** Estimated distance between passes, m. */
  readonly passSpacing: number;
  readonly soundings: number;
  /** m, positive down; NaN for `no-data`. */
  readonly depth: number;
  readonly depthSd: number;
  /** Bounds that hold the depth 19 times in 20, m; absent where a model is made by hand. */
  readonly interval?: readonly [low: number, high: number];
  /** What the passes say without the mark's own depth; the same where the mark carries none. */
  readonly passDepth?: DepthSummary;
  /** Chance that the passes missed a form here, its usual size (standard deviation of the depth), m, and the distance to the nearest pass, m. */
  readonly missed?: { readonly chance: number; readonly size: number; readonly distance: number };
  /** `[east, north]` rate of deepening, m/m; absent for `one-pass`, `no-data`. */
  readonly gradient?: readonly [number, number];
  /** Covariance of the gradient: [var east, covariance, var north]. */
  readonly gradientCovariance?: readonly [number, number, number];
  /** Angle from horizontal, deg; absent with the gradient. */
  readonly slope?: number;
  readonly slopeSd?: number;
  /** Bearing of steepest descent, deg true; absent also where the bottom is too level to have one. */
  readonly aspect?: number;
  readonly aspectSd?: number;
  /** Absent for `no-data`. */
  readonly grid?: DepthGrid;
  /** Degree to which each of 16 directions (0 = north, clockwise) is sounded out to about one cast, 0 to 1. */
  readonly support: Float64Array;
  readonly structure?: { readonly word: StructureWord; readonly confidence: number };
}
