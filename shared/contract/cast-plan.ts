/**
 * Where the boat sits for a cast, or how the cast crosses the fish:
 *
 * - `downslope`: boat on the deep side, cast toward shallower water;
 * - `upslope`: boat on the shallow side, cast toward deeper water;
 * - `opposite`: boat on the other side of the fish, cast turned at least 120 deg from another cast;
 * - `flat`: boat on any side, because the fish are suspended or the ground is level;
 * - `quartering`: next angle to try, turned 30 to 105 deg from the first cast;
 * - `along`: next angle to try, along the contour;
 * - `across`: next angle to try, across the structure.
 */
export type CastKind = 'downslope' | 'upslope' | 'opposite' | 'flat' | 'quartering' | 'along' | 'across';

/** One boat position with its cast, and what the lure does on the retrieve. */
export interface CastPlan {
  readonly kind: CastKind;
  readonly boat: Spot;
  readonly landing: Spot;
  /** True bearing of the cast, deg, [0, 360). */
  readonly bearing: number;
  /** Length of the cast, m. */
  readonly cast: number;
  readonly lure: string;
  /** Greatest depth that the lure would reach on this cast if the bottom were deep enough, m. */
  readonly lureDepth: number;
  /** Standard deviation of `lureDepth`, m: 5 % if calibrated, 15 % if labeled 24 ft or more, else 10 %. */
  readonly lureDepthSd?: number;
  /** Expected length of the retrieve on bottom, m. */
  readonly contact: number;
  /** As `contact`, with each meter weighted by the density of the fish there; 0 for suspended fish. */
  readonly fishContact: number;
  /** Standard deviation of `fishContact` over random bottoms that fit the soundings, m. */
  readonly fishContactSd: number;
  /**
   * Length that casts are ranked by, m: `fishContact`, or for suspended fish the length of the retrieve at
   * their depths.
   */
  readonly worth: number;
  /** True for suspended fish: the lure runs at the depth of the fish, and contact does not count. */
  readonly isSuspended?: true;
  /** True bearing of a cast that is as good by the soundings, deg, more than 45 deg from `bearing`. */
  readonly equalBearing?: number;
  /** True when the cast is kept from an earlier plan, because no other cast is clearly better. */
  readonly isKept?: true;
  /** Minimum and maximum depth of the lure while it is on bottom, m; absent when it never is. */
  readonly contactDepths?: readonly [number, number];
  /** True when `lureDepth` is more than 1 ft above the deepest fish. */
  readonly isLureShort?: boolean;
  /** The next deeper lure, which may stay on bottom longer but plows and snags. */
  readonly deeper?: Pick<CastPlan, 'lure' | 'lureDepth' | 'contact' | 'fishContact'>;
  /** Direction of the cast relative to the wind of the day; absent without wind or below 3 m/s. */
  readonly wind?: WindOnCast;
  /** Profile along the cast from the boat (distance 0) to the landing. */
  readonly profile: {
    /** Distance from the boat, m, ascending. */
    readonly distance: Float64Array;
    /** Modeled bottom depth, m. */
    readonly bottom: Float64Array;
    /** Standard deviation of the modeled bottom depth, m. */
    readonly bottomSd: Float64Array;
    /** Lure depth on the retrieve, m. */
    readonly lure: Float64Array;
  };
}

/** A position on the water with its modeled depth. */
export interface Spot {
  /** deg. */
  readonly lat: number;
  readonly lon: number;
  /** Position relative to the waypoint, m. */
  readonly east: number;
  readonly north: number;
  /** Modeled depth, m. */
  readonly depth: number;
  /** Standard deviation of the modeled depth, m. */
  readonly depthSd: number;
}

export type WindOnCast = 'into' | 'across' | 'with';

/** A cast of an earlier plan for the same mark. */
export interface EarlierCast {
  readonly boat: Pick<Spot, 'lat' | 'lon'>;
  readonly landing: Pick<Spot, 'lat' | 'lon'>;
}

export interface EarlierCasts {
  readonly downslope?: EarlierCast;
  readonly upslope?: EarlierCast;
}
