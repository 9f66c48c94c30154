import type { DepthRange } from '../contract/options.ts';
import { METERS_PER } from '../units.ts';

/** The boat sits at least this much below the deep edge of the fish, m: 2 ft. */
export const BELOW_BAND = 2 * METERS_PER.ft;

/** Least depth into which a lure is cast, and over which one can be retrieved, m. */
export const LEAST_WATER = 0.5;

/** A line passes the mark when it comes this near, m. */
export const PASSING = 5;

/** Where boat and landing of a cast may be. */
export interface CastRule {
  /** Depths of the boat and of the landing, m. */
  readonly boat: DepthRange;
  readonly landing: DepthRange;
  /** Least depth for the boat whatever the model is unsure of, m. */
  readonly draft: number;
  /** Bearings allowed, deg: at least `apart` from each of `from`. */
  readonly from: readonly number[];
  readonly apart: number;
}

const ANY_DEPTH = Number.POSITIVE_INFINITY;

/**
 * First cast: boat deeper than the band, landing shallower than it, so that the lure crosses the whole band downhill.
 *
 * @param draft Least depth for the boat, m.
 */
export const downslopeRule = (band: DepthRange, draft: number): CastRule => ({
  boat: { top: Math.max(band.bottom + BELOW_BAND, draft), bottom: ANY_DEPTH },
  landing: { top: LEAST_WATER, bottom: band.top },
  draft,
  from: [],
  apart: 0,
});

/** The opposite side: boat shallower than the band, landing deeper than it. */
export const upslopeRule = (band: DepthRange, draft: number): CastRule => ({
  boat: { top: draft, bottom: band.top },
  landing: { top: Math.max(band.bottom, LEAST_WATER), bottom: ANY_DEPTH },
  draft,
  from: [],
  apart: 0,
});

/** Same side as the first cast, from another direction. */
export const quarteringRule = (
  band: DepthRange,
  draft: number,
  from: readonly number[],
  apart: number,
): CastRule => ({ ...downslopeRule(band, draft), from, apart });

/** Boat deeper than the band, landing anywhere: chords along the band and across the structure. */
export const chordRule = (
  band: DepthRange,
  draft: number,
  from: readonly number[],
  apart: number,
): CastRule => ({
  boat: { top: Math.max(band.bottom + BELOW_BAND, draft), bottom: ANY_DEPTH },
  landing: { top: LEAST_WATER, bottom: ANY_DEPTH },
  draft,
  from,
  apart,
});

/** Boat on top, landing anywhere. */
export const topChordRule = (
  band: DepthRange,
  draft: number,
  from: readonly number[],
  apart: number,
): CastRule => ({
  boat: { top: draft, bottom: band.top },
  landing: { top: LEAST_WATER, bottom: ANY_DEPTH },
  draft,
  from,
  apart,
});

export const allowsBearing = ({ from, apart }: CastRule, bearing: number): boolean =>
  from.every((other) => turnBetween(bearing, other) >= apart);

/** Angle between two bearings, deg, [0, 180]. */
export const turnBetween = (a: number, b: number): number => Math.abs(((((a - b) % 360) + 540) % 360) - 180);
