/** Maximum number of points of a path: enough for 200 m of line in steps of 0.5 m, finer at both ends. */
export const MAX_POINTS = 512;

/** Path of a lure on one retrieve, from landing to boat. The arrays are reused and longer than `count`. */
export type RetrievePath = ReturnType<typeof emptyPath>;

export const emptyPath = () => ({
  /** Number of computed points; the first is the landing. */
  count: 0,
  /** Horizontal distance from the rod tip, m, descending. */
  distance: new Float64Array(MAX_POINTS),
  /** Depth of the lure, m. */
  depth: new Float64Array(MAX_POINTS),
  /** Length of line between rod tip and lure, m, descending. */
  line: new Float64Array(MAX_POINTS),
  /** 1 where the lure is on bottom. */
  touching: new Uint8Array(MAX_POINTS),
});

/** Returns the depths of a path at ascending distances, m; NaN beyond either end of the path. */
export function depthsAt(path: RetrievePath, distances: Float64Array): Float64Array {
  let i = path.count - 1;
  return distances.map((at) => {
    while (i > 0 && path.distance[i - 1] < at) i--;
    if (i === 0 || at < path.distance[i]) return Number.NaN;
    const share = (at - path.distance[i]) / (path.distance[i - 1] - path.distance[i]);
    return path.depth[i] + share * (path.depth[i - 1] - path.depth[i]);
  });
}

/** Bottom along a cast, at equal spacing from the rod tip (distance 0) outward. */
export interface BottomProfile {
  /** Distance between depths, m, > 0. */
  readonly spacing: number;
  /** Depths, m, positive down; beyond the last depth, the bottom is level. */
  readonly depth: ArrayLike<number>;
}

/** Returns the depth of a profile at a distance, m, by linear interpolation. @param distance m, >= 0. */
export function profileDepth(profile: BottomProfile, distance: number): number {
  const { depth } = profile;
  const at = distance / profile.spacing;
  const i = at | 0;
  if (i >= depth.length - 1) return depth[depth.length - 1];
  return depth[i] + (at - i) * (depth[i + 1] - depth[i]);
}
