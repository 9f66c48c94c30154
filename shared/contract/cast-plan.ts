/**
 * Where the boat of a cast sits, or which way the lure goes past the fish:
 *
 * - `downslope`: boat on the deep side, cast toward shallower water;
 * - `upslope`: boat on the shallow side, cast toward deeper water;
 * - `opposite`: the far side of the fish from the first cast, where it is no shallower (or, in a hole, no deeper);
 * - `flat`: level ground all round, so that no side is deep or shallow;
 * - `quartering`, `along`, `across`: next angles off the first cast, along the contour, across the structure.
 */
export type CastKind = 'downslope' | 'upslope' | 'opposite' | 'flat' | 'quartering' | 'along' | 'across';

/** One boat position with its cast, and what the lure does on the way back. */
export interface CastPlan {
  readonly kind: CastKind;
  readonly boat: Spot;
  readonly landing: Spot;
  /** True bearing of the cast, deg, [0, 360). */
  readonly bearing: number;
  /** m. */
  readonly cast: number;
  /** Name of the lure, and the greatest depth it reaches on this cast over deep water, m. */
  readonly lure: string;
  readonly lureDepth: number;
  /** Standard deviation of that depth, m: a label is honest to 10 % (25 ft: 15 %), an observation to 5 %. */
  readonly lureDepthSd?: number;
  /**
   * Expected length of the retrieve on bottom, and the same with each meter counted by the share of the fish there,
   * m.
   */
  readonly contact: number;
  readonly fishContact: number;
  /** Standard deviation of `fishContact` over the bottoms that the soundings leave possible, m. */
  readonly fishContactSd: number;
  /**
   * What casts and spots are compared by, m: `fishContact`; for suspended fish the length of retrieve in their
   * depths.
   */
  readonly worth: number;
  /**
   * True when the fish are off the bottom: the lure runs at their depth over the mark, and contact does not count.
   */
  readonly isSuspended?: true;
  /** True bearing, deg, of a cast turned by more than 45 deg that is as good, as far as the soundings tell. */
  readonly equalBearing?: number;
  /** True when this is the cast of an earlier plan, which nothing clearly beats. */
  readonly isKept?: true;
  /** Depths between which the lure is on bottom, m; absent when it never touches. */
  readonly contactDepths?: readonly [number, number];
  /** True when the lure is the deepest there is and still does not reach the band's deep edge within 1 ft. */
  readonly isLureShort?: boolean;
  /** The next deeper lure, which touches more but ploughs and snags; expected contact as above. */
  readonly deeper?: {
    readonly lure: string;
    readonly lureDepth: number;
    readonly contact: number;
    readonly fishContact: number;
  };
  /** How the cast goes to the wind of the day; absent in light air or when not given. */
  readonly wind?: WindOnCast;
  /** Along the cast line from the boat (distance 0) to the landing. */
  readonly profile: {
    /** m from the boat, ascending. */
    readonly distance: Float64Array;
    /** Modeled bottom, m, and its standard deviation. */
    readonly bottom: Float64Array;
    readonly bottomSd: Float64Array;
    /** Lure depth on the retrieve, m. */
    readonly lure: Float64Array;
  };
}

/** A place on the water with its modeled depth. */
export interface Spot {
  /** deg. */
  readonly lat: number;
  readonly lon: number;
  /** m from the waypoint. */
  readonly east: number;
  readonly north: number;
  /** m, and standard deviation. */
  readonly depth: number;
  readonly depthSd: number;
}

export type WindOnCast = 'into' | 'across' | 'with';

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
