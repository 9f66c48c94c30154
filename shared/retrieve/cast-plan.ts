import type { WindOnCast } from './wind.ts';

/** Which way the lure crosses the band, or runs along it. */
export type CastKind = 'downslope' | 'upslope' | 'opposite' | 'quartering' | 'along' | 'across';

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
  /** Expected length of the retrieve on bottom, and of the part inside the fish band, m. */
  readonly contact: number;
  readonly fishContact: number;
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
