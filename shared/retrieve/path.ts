/** Path of a lure on one retrieve, from the landing to the boat; arrays are longer than `count` and reused. */
export interface RetrievePath {
  /** Computed points; the first is the landing. */
  count: number;
  /** Distance from the rod tip, m, descending. */
  readonly distance: Float64Array;
  /** Depth of the lure, m. */
  readonly depth: Float64Array;
  /** Line between rod tip and lure, m, descending. */
  readonly line: Float64Array;
  /** 1 where the lure is on bottom. */
  readonly touching: Uint8Array;
}

/** Points that a path can hold: a 200 m cast in half-meter steps with the short steps at its start and end. */
export const MAX_POINTS = 512;

/** An empty path to compute into. */
export const emptyPath = (): RetrievePath => ({
  count: 0,
  distance: new Float64Array(MAX_POINTS),
  depth: new Float64Array(MAX_POINTS),
  line: new Float64Array(MAX_POINTS),
  touching: new Uint8Array(MAX_POINTS),
});

/** Depth of a path at ascending distances, m; NaN where the path does not go. */
export function depthsAt(path: RetrievePath, distances: ArrayLike<number>): Float64Array {
  let i = path.count - 1;
  return Float64Array.from(distances, (at) => {
    while (i > 0 && path.distance[i - 1] < at) i--;
    if (i === 0 || at < path.distance[i]) return Number.NaN;
    const share = (at - path.distance[i]) / (path.distance[i - 1] - path.distance[i]);
    return path.depth[i] + share * (path.depth[i - 1] - path.depth[i]);
  });
}
