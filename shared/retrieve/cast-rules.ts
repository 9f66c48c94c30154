import type { DepthRange } from '../contract/options.ts';
import { METERS_PER } from '../geo/units.ts';

/** The boat sits at least this much below the deep edge of the fish, m: 2 ft. */
const BELOW_BAND = 2 * METERS_PER.ft;

/** Least depth into which a lure is cast, and over which one can be retrieved, m. */
export const LEAST_WATER = 0.5;

/** A line passes the mark when it comes this near, m. */
export const PASSING = 5;

/** Bearings clockwise from one to another, deg. */
export interface Sector {
  readonly from: number;
  readonly to: number;
}

/** Where boat and landing of a cast may be. */
export interface CastRule {
  /** Depths of the boat and of the landing, m. */
  readonly boat: DepthRange;
  readonly landing: DepthRange;
  /** Least depth for the boat whatever the model is unsure of, m. */
  readonly draft: number;
  /** Bearings that a cast may have; absent: any. */
  readonly sectors?: readonly Sector[];
}

const ANY_DEPTH = Number.POSITIVE_INFINITY;

const deepBoat = (band: DepthRange, draft: number): DepthRange => ({
  top: Math.max(band.bottom + BELOW_BAND, draft),
  bottom: ANY_DEPTH,
});

/**
 * First cast: boat deeper than the band, landing shallower than it, so that the lure crosses the whole band downhill.
 *
 * @param draft Least depth for the boat, m.
 */
export const downslopeRule = (band: DepthRange, draft: number): CastRule => ({
  boat: deepBoat(band, draft),
  landing: { top: LEAST_WATER, bottom: band.top },
  draft,
});

/** The opposite side: boat shallower than the band, landing deeper than it. */
export const upslopeRule = (band: DepthRange, draft: number): CastRule => ({
  boat: { top: draft, bottom: band.top },
  landing: { top: Math.max(band.bottom, LEAST_WATER), bottom: ANY_DEPTH },
  draft,
});

/** Boat deeper than the band, landing anywhere: a chord along the band. */
export const alongRule = (band: DepthRange, draft: number): CastRule => ({
  boat: deepBoat(band, draft),
  landing: { top: LEAST_WATER, bottom: ANY_DEPTH },
  draft,
});

/** Boat and landing both deeper than the band: a chord across the structure. */
export const acrossRule = (band: DepthRange, draft: number): CastRule => ({
  boat: deepBoat(band, draft),
  landing: { top: Math.max(band.bottom, LEAST_WATER), bottom: ANY_DEPTH },
  draft,
});

/** The same rule with bearings held to some sectors. */
export const within = (rule: CastRule, sectors: readonly Sector[]): CastRule => ({ ...rule, sectors });

export const allowsBearing = ({ sectors }: CastRule, bearing: number): boolean =>
  sectors === undefined ||
  sectors.some(({ from, to }) => clockwise(from, bearing) <= clockwise(from, to) + 1e-9);

/** Angle from one bearing clockwise to another, deg, [0, 360). */
const clockwise = (from: number, to: number): number => (((to - from) % 360) + 360) % 360;

/** Angle between two bearings, deg, [0, 180]. */
export const turnBetween = (a: number, b: number): number => Math.min(clockwise(a, b), clockwise(b, a));
