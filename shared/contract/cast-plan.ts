/**
 * Where the boat sits for a cast, or how the cast crosses the fish:
 *
 * - `downslope`: boat on the deep side, cast toward shallower water;
 * - `upslope`: boat on the shallow side, cast toward deeper water;
 * - `opposite`: boat on the side of the fish opposite the first cast, on bottom as deep or shallow as there;
 * - `flat`: boat on any side, because the bottom is level all around or the fish are suspended;
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
  /** Greatest depth that the lure reaches on this cast over deep water, m. */
  readonly lureDepth: number;
  /** Standard deviation of `lureDepth`, m: 10 % by label (from 24 ft on 15 %), 5 % for a calibrated lure. */
  readonly lureDepthSd?: number;
  /** Expected length of the retrieve on bottom, m. */
  readonly contact: number;
  /** Expected length of the retrieve on bottom, m, each meter weighted by the share of the fish there. */
  readonly fishContact: number;
  /** Standard deviation of `fishContact` over the bottoms consistent with the soundings, m. */
  readonly fishContactSd: number;
  /** Length that casts are ranked by, m: `fishContact`, or the retrieve at the depths of suspended fish. */
  readonly worth: number;
  /** True for suspended fish: the lure runs at the depth of the fish, and contact does not count. */
  readonly isSuspended?: true;
  /** True bearing of a cast that is as good by the soundings, deg; more than 45 deg from `bearing`. */
  readonly equalBearing?: number;
  /** True when this cast is kept from an earlier plan because no other cast is clearly better. */
  readonly isKept?: true;
  /** Range of depths in which the lure is on bottom, m; absent when the lure never touches bottom. */
  readonly contactDepths?: readonly [number, number];
  /** True when even the deepest lure stays more than 1 ft above the deepest fish. */
  readonly isLureShort?: boolean;
  /** The next deeper lure, which may stay on bottom longer but plows and snags. */
  readonly deeper?: Pick<CastPlan, 'lure' | 'lureDepth' | 'contact' | 'fishContact'>;
  /** Direction of the cast relative to the wind of the day; absent below 3 m/s or when no wind is given. */
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

/** What an earlier run planned for one mark. */
export interface EarlierCasts {
  readonly downslope?: EarlierCast;
  readonly upslope?: EarlierCast;
}
