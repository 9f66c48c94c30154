/** Structure words, the more specific first. Of equally likely words, the first is chosen. */
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
 * What the soundings around a waypoint support; the first that applies:
 *
 * - `no-data`: nothing, because there are fewer than 6 blocks of soundings, none is within 40 m, or neither a
 *   surface nor a quadratic could be fitted;
 * - `one-pass`: depth, because nearby soundings are few, from one leg or on one line;
 * - `edge`: depth and slope, because soundings are on one side only;
 * - `sparse`: depth and slope, because passes are far apart and depths between passes uncertain, or because
 *   only a quadratic could be fitted;
 * - `ok`: depth, slope and structure.
 */
export type BottomStatus = 'ok' | 'sparse' | 'one-pass' | 'edge' | 'no-data';

/**
 * Square grid of nodes centered on the waypoint; row-major, rows from the south, columns from the west.
 *
 * Node (row, column) is at east = (column - half) * cellSize and north = (row - half) * cellSize, with half =
 * (size - 1) / 2. Between nodes, interpolate with `bilinear` of `shared/math`.
 */
export interface DepthGrid {
  /** Number of rows, and of columns. */
  readonly size: number;
  /** Distance between nodes, m. */
  readonly cellSize: number;
  /** Mean depth, m, positive down. */
  readonly depth: Float64Array;
  /** Standard deviation of the depth, m. */
  readonly sd: Float64Array;
  /** 1 for a node close to soundings or surrounded by soundings, otherwise 0. */
  readonly supported: Uint8Array;
  /** Correlation length of the errors of the depths, m. */
  readonly range: number;
}

/** The modeled bottom around a waypoint, in meters east and north of the waypoint. */
export interface BottomModel {
  readonly status: BottomStatus;
  /** Origin of the east-north frame, deg. */
  readonly lat: number;
  readonly lon: number;
  /** Estimated distance between passes, m; NaN for `no-data`. */
  readonly passSpacing: number;
  /** Number of soundings around the waypoint, spikes included. */
  readonly soundings: number;
  /** Depth at the waypoint, m, positive down; NaN for `no-data`. */
  readonly depth: number;
  /** Standard deviation of the depth, m; NaN for `no-data`. */
  readonly depthSd: number;
  /** 95 % bounds of the depth, m; may be absent in a model that `modelBottom` did not make. */
  readonly interval?: readonly [low: number, high: number];
  /** Depth from the passes alone, without a depth that the mark states; absent for `no-data`. */
  readonly passDepth?: DepthSummary;
  /** Form that the passes may have missed at the waypoint; absent for `no-data` and without `Unseen`. */
  readonly missed?: {
    /** Chance that the passes missed a form, 0 to 1. */
    readonly chance: number;
    /** Standard deviation of the height of a missed form, m. */
    readonly size: number;
    /** Distance to the nearest pass, m. */
    readonly distance: number;
  };
  /** Rate of deepening `[east, north]`, m/m; absent for `one-pass` and `no-data`. */
  readonly gradient?: readonly [number, number];
  /** Covariance of the gradient, (m/m)^2: `[var east, covariance, var north]`. */
  readonly gradientCovariance?: readonly [number, number, number];
  /** Angle of the bottom from horizontal, deg; absent without a gradient. */
  readonly slope?: number;
  /** Standard deviation of the slope, deg. */
  readonly slopeSd?: number;
  /** Bearing of steepest descent, deg true; absent if the gradient is absent, small or uncertain. */
  readonly aspect?: number;
  /** Standard deviation of the aspect, deg. */
  readonly aspectSd?: number;
  /** Absent for `no-data`, without a fitted surface, and when no grid was asked for. */
  readonly grid?: DepthGrid;
  /** Share of a cast over supported nodes, in 16 directions clockwise from north; 0 without a grid. */
  readonly support: Float64Array;
}

/**
 * What a lake hides between its passes: errors of the model, and forms that no pass crossed.
 *
 * At a distance d from the nearest pass, the chance of a missed form is 1 - exp(-rate (d / 10 m)^1.5). The
 * chance is constant beyond 25 m.
 */
export interface Unseen {
  /** Factor on the model's standard deviation of the depth, for a gradient of 0.1 m/m. */
  readonly factor: number;
  /** Standard deviation of the height of a missed form, m. */
  readonly size: number;
  readonly rate: number;
}

/** A depth with its standard deviation and its 95 % bounds, m. */
export interface DepthSummary {
  readonly depth: number;
  readonly depthSd: number;
  readonly interval: readonly [low: number, high: number];
}
