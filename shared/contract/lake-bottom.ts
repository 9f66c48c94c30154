/** The whole sounded lake as plain data that can be sent to worker threads; for plugins with `readsLake`. */
export interface LakeBottom {
  /** Origin of the east-north frame of the lattice, deg. */
  readonly lat: number;
  readonly lon: number;
  /** Direction of the first axis of the lattice, rad from east toward north. */
  readonly axis: number;
  /** Position of node (0, 0) along both axes from the origin, m. */
  readonly x0: number;
  readonly y0: number;
  readonly columns: number;
  readonly rows: number;
  /** Distance between nodes, m. */
  readonly cell: number;
  /** Depth, row by row, m, positive down; NaN where no soundings are within reach. */
  readonly depth: Float32Array;
  readonly lines: readonly BottomLine[];
  readonly areas: readonly BottomArea[];
}

/** The lake with the standard deviation of the depth at each node, m; for writers. */
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
  /** Share of the random draws of the lake's bottom that contain the line, 0 to 1. */
  readonly sure: number;
  /** True when fewer than half of the draws contain the line: the passes did not show enough to be sure. */
  readonly isInferred: boolean;
  /** Length of the line, m. */
  readonly length: number;
  /** Mean depth along the line, m, positive down. */
  readonly depth: number;
  /** Minimum depth along the line, m. */
  readonly shallowest: number;
  /** Maximum depth along the line, m. */
  readonly deepest: number;
}

export const AREA_KINDS = ['hump', 'ridge', 'hole', 'ditch', 'flat'] as const;
export type AreaKind = (typeof AREA_KINDS)[number];

/** A closed feature of the bottom, or level ground. */
export interface BottomArea {
  readonly kind: AreaKind;
  /** Closed rings of `[lat, lon]`, deg; the outer first. */
  readonly rings: readonly (readonly (readonly [lat: number, lon: number])[])[];
  /** Area, m^2. */
  readonly area: number;
  /** Share of the random draws of the lake's bottom that contain the form, 0 to 1; 1 for a flat. */
  readonly sure: number;
  /** Top of a hump or ridge, deepest point of a hole or ditch, middle of a flat, deg. */
  readonly top: readonly [lat: number, lon: number];
  /** Depth at `top`, m, positive down; the median depth of a flat. */
  readonly topDepth: number;
  /** Height above the lowest closed contour, or depth below the highest one, m; range of depths of a flat. */
  readonly relief: number;
}
