/** Bottom along a cast, at equal spacing from the rod tip (distance 0) outward. */
export interface BottomProfile {
  /** m between depths, > 0. */
  readonly spacing: number;
  /** m, positive down; beyond the last depth, the bottom is level. */
  readonly depth: ArrayLike<number>;
}

/** Depth of a profile at a distance, m, by linear interpolation. @param distance m, >= 0. */
export function profileDepth(profile: BottomProfile, distance: number): number {
  const { depth } = profile;
  const at = distance / profile.spacing;
  const i = at | 0;
  if (i >= depth.length - 1) return depth[depth.length - 1];
  return depth[i] + (at - i) * (depth[i + 1] - depth[i]);
}
