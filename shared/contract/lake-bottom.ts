/** The whole sounded lake as plain data, which can be sent to threads: for plugins with `readsLake`. */
export interface LakeBottom {
  /** Origin of the east-north frame that the lattice lies in, deg. */
  readonly lat: number;
  readonly lon: number;
  /** Direction of the lattice's first axis, rad from east toward north, and place of node (0, 0) along both axes, m. */
  readonly axis: number;
  readonly x0: number;
  readonly y0: number;
  readonly columns: number;
  readonly rows: number;
  /** m between nodes. */
  readonly cell: number;
  /** m, positive down, row by row; NaN where nothing was sounded within reach. */
  readonly depth: Float32Array;
  readonly lines: readonly BottomLine[];
  readonly areas: readonly BottomArea[];
}

/** The same with the standard deviation of the depth, m: for writers. */
export interface UncertainLakeBottom extends LakeBottom {
  readonly sd: Float32Array;
}

/** Lines of a bottom: the upper and lower edge of a face, the top of a ridge, the bed of a ditch. */
export const LINE_KINDS = ['lip', 'foot', 'crest', 'thalweg'] as const;
export type LineKind = (typeof LINE_KINDS)[number];

/** A line of the bottom. */
export interface BottomLine {
  readonly kind: LineKind;
  /** `[lat, lon]`, deg, in order along the line. */
  readonly places: readonly (readonly [lat: number, lon: number])[];
  /** Share of the lake's draws that have it, 0 to 1. */
  readonly sure: number;
  /** Fewer than half of them have it: no pass saw enough to say. */
  readonly isInferred: boolean;
  /** m. */
  readonly length: number;
  /** Depth along the line, m, positive down: mean, least and greatest. */
  readonly depth: number;
  readonly shallowest: number;
  readonly deepest: number;
}

export const AREA_KINDS = ['hump', 'ridge', 'hole', 'ditch', 'flat'] as const;
export type AreaKind = (typeof AREA_KINDS)[number];

/** A form of the bottom that closes on itself, or even ground. */
export interface BottomArea {
  readonly kind: AreaKind;
  /** Closed rings of `[lat, lon]`, deg; the outer first. */
  readonly rings: readonly (readonly (readonly [lat: number, lon: number])[])[];
  /** m^2. */
  readonly area: number;
  readonly sure: number;
  /** Place and depth, m, of the top of a hump or ridge, of the deepest place of a hole or ditch, of the middle of a flat. */
  readonly top: readonly [lat: number, lon: number];
  readonly topDepth: number;
  /** Height of a top over (depth of a hole under) the lowest contour that closes round it, m; of a flat its range of depth. */
  readonly relief: number;
}
