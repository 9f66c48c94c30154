/** A cast of an earlier plan for the same mark. */
export interface EarlierCast {
  /** deg, WGS 84. */
  readonly boat: { readonly lat: number; readonly lon: number };
  readonly landing: { readonly lat: number; readonly lon: number };
}

/** What an earlier run planned for one mark. */
export interface EarlierCasts {
  readonly downslope?: EarlierCast;
  readonly upslope?: EarlierCast;
}
