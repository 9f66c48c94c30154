/** Structure words, more specific ones first; a tie between two words goes to the earlier one. */
export const STRUCTURE_WORDS = [
  'hump',
  'hole',
  'ridge',
  'ditch',
  'saddle',
  'point',
  'outside-turn',
  'inside-turn',
  'ledge',
  'channel-edge',
  'slope',
  'flat',
] as const;
export type StructureWord = (typeof STRUCTURE_WORDS)[number];

/**
 * How much the soundings around a waypoint can support; when several apply, the first in this order:
 *
 * - `no-data`: soundings on fewer than 6 short stretches of track, or none within 40 m: no answer;
 * - `one-pass`: all nearby soundings on one line: depth only, no slope, no structure;
 * - `edge`: soundings on only one side: slope, no structure;
 * - `sparse`: passes far apart and the depth between them uncertain: slope, no structure;
 * - `ok`: slope and structure.
 */
export type BottomStatus = 'ok' | 'sparse' | 'one-pass' | 'edge' | 'no-data';

/**
 * Square grid of nodes centered on the waypoint; row-major, rows from south to north, columns from west to
 * east.
 *
 * Node (row, column) is at east = (column - half) x cellSize, north = (row - half) x cellSize, half = (size -
 * 1) / 2. Between nodes, values are interpolated (`bilinear` in `shared/math`).
 */
export interface DepthGrid {
  readonly size: number;
  /** Distance between nodes, m. */
  readonly cellSize: number;
  /** Mean depth, m, positive down. */
  readonly depth: Float64Array;
  /** Standard deviation of the depth, m. */
  readonly sd: Float64Array;
  /** 1 where soundings are close enough to support the depth; 0 over bottom that was not sounded. */
  readonly supported: Uint8Array;
  /** Distance over which depth errors are correlated, m. */
  readonly range: number;
}

/** The modeled bottom around one waypoint, in local east-north meters relative to it. */
export interface BottomModel {
  readonly status: BottomStatus;
  /** Origin of the east-north frame, deg. */
  readonly lat: number;
  readonly lon: number;
  /** Estimated distance between passes, m. */
  readonly passSpacing: number;
  /** Number of soundings used. */
  readonly soundings: number;
  /** Depth at the waypoint, m, positive down; NaN for `no-data`. */
  readonly depth: number;
  /** Standard deviation of the depth, m. */
  readonly depthSd: number;
  /** 95 % bounds of the depth, m; absent in a model built by hand. */
  readonly interval?: readonly [low: number, high: number];
  /** Depth from the passes alone; equal to `depth` when the mark states no depth. */
  readonly passDepth?: DepthSummary;
  /**
   * Chance that the passes missed a feature here, its typical size (standard deviation of the depth), m, and
   * the distance to the nearest pass, m.
   */
  readonly missed?: { readonly chance: number; readonly size: number; readonly distance: number };
  /** Rate of deepening `[east, north]`, m/m; absent for `one-pass` and `no-data`. */
  readonly gradient?: readonly [number, number];
  /** Covariance of the gradient, (m/m)^2: `[var east, covariance, var north]`. */
  readonly gradientCovariance?: readonly [number, number, number];
  /** Angle from horizontal, deg; absent when the gradient is absent. */
  readonly slope?: number;
  /** Standard deviation of the slope, deg. */
  readonly slopeSd?: number;
  /** Bearing of steepest descent, deg true; absent without a gradient, or where it is too small or unsure. */
  readonly aspect?: number;
  /** Standard deviation of the aspect, deg. */
  readonly aspectSd?: number;
  /** Absent for `no-data`. */
  readonly grid?: DepthGrid;
  /** How completely each of 16 directions (0 = north, clockwise) is sounded out to about one cast, 0 to 1. */
  readonly support: Float64Array;
  readonly structure?: { readonly word: StructureWord; readonly confidence: number };
}

/**
 * What a lake hides between its passes: a `factor` on the model's standard deviation where the bottom falls
 * 0.1 m/m, and features that no pass crossed, whose heights have a standard deviation of `size` m. The chance
 * of a missed feature is 1 - exp(-rate (distance / 10 m)^1.5).
 */
export interface Unseen {
  readonly factor: number;
  readonly size: number;
  readonly rate: number;
}

/** Depth with the standard deviation to print and the 95 % bounds, all in m. */
export interface DepthSummary {
  readonly depth: number;
  readonly depthSd: number;
  readonly interval: readonly [low: number, high: number];
}
