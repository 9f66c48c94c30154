/** Modeled bottom of the whole sounded lake, as plain data that can be sent to worker threads. */
export interface LakeBottom {
  /** Origin of the east-north frame of the lattice, deg. */
  readonly lat: number;
  readonly lon: number;
  /** Direction of the first axis of the lattice, rad from east toward north. */
  readonly axis: number;
  /** Position of node (0, 0) along the first axis, m from the origin. */
  readonly x0: number;
  /** Position of node (0, 0) along the second axis, m from the origin. */
  readonly y0: number;
  readonly columns: number;
  readonly rows: number;
  /** Distance between nodes, m. */
  readonly cell: number;
  /** Depth at the nodes, row by row, m, positive down; NaN where no sounding is within reach. */
  readonly depth: Float32Array;
  readonly lines: readonly BottomLine[];
  readonly areas: readonly BottomArea[];
}

export interface UncertainLakeBottom extends LakeBottom {
  /** Standard deviation of the depth at the nodes, m; NaN where `depth` is NaN. */
  readonly sd: Float32Array;
}

/** Kinds of lines: the upper edge and lower edge of a face, the top of a ridge, the bed of a ditch. */
export const LINE_KINDS = ['lip', 'foot', 'crest', 'thalweg'] as const;
export type LineKind = (typeof LINE_KINDS)[number];

export interface BottomLine {
  readonly kind: LineKind;
  /** `[lat, lon]`, deg, in order along the line. */
  readonly places: readonly (readonly [lat: number, lon: number])[];
  /** Share of random draws of the bottom that contain the line, averaged along the line, 0 to 1. */
  readonly sure: number;
  /** True when `sure` is less than 0.5. */
  readonly isInferred: boolean;
  /** m. */
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

/** A closed form of the bottom, or level ground. */
export interface BottomArea {
  readonly kind: AreaKind;
  /** Closed rings of `[lat, lon]`, deg; the outer ring first. */
  readonly rings: readonly (readonly (readonly [lat: number, lon: number])[])[];
  /** m^2. */
  readonly area: number;
  /** Share of random draws of the bottom that contain the form, 0 to 1; 1 for a flat. */
  readonly sure: number;
  /** Top of a hump or ridge, deepest place of a hole or ditch, or place of a flat nearest a sounding, deg. */
  readonly top: readonly [lat: number, lon: number];
  /** Depth at `top`, or median depth of a flat, m, positive down. */
  readonly topDepth: number;
  /**
   * Height of a hump or ridge above its lowest closed contour, depth of a hole or ditch below its highest
   * closed contour, or range of depths on a flat, m.
   */
  readonly relief: number;
}
