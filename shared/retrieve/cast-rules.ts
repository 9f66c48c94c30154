import { type DepthRange, METERS_PER } from '../contract/index.ts';
import type { Fish } from './fish.ts';

/** The boat sits over ground at least this much deeper, or shallower, than the ground of the fish, m: 2 ft. */
const CLEAR_OF_FISH = 2 * METERS_PER.ft;

/** Least depth into which a lure is cast, and over which it can be retrieved, m. */
export const MIN_WATER = 0.5;

/** A line passes the fish when it comes this close to them, m. */
export const PASSING = 5;

/** Least distance of the boat from the fish, m: 50 ft. */
const STAND_OFF = 50 * METERS_PER.ft;
/** Least distance where the depth of the fish is stated, m: 25 ft, because the boat then stays out of that depth. */
const STATED_STAND_OFF = 25 * METERS_PER.ft;
/** The least distance is never more than this share of the longest cast. */
const STAND_OFF_SHARE = 0.5;

/** The lure lands past the fish by at least this, m. */
export const PAST_FISH = 3;

/** All bearings clockwise from one bearing to another, deg. */
export interface Sector {
  readonly from: number;
  readonly to: number;
}

/** Where the boat and the landing of a cast may be. */
export interface CastRule {
  /** Depths that the boat may sit in, m. */
  readonly boat: DepthRange;
  /** Depths that the lure may land in, m. */
  readonly landing: DepthRange;
  /** Least depth for the boat, m, which the model less two standard deviations must still give. */
  readonly draft: number;
  /**
   * How far the modeled depth may fall short of the least depth in `boat`, m, but never by more than its own
   * standard deviation; absent: 0.
   */
  readonly slack?: number;
  /** Bearings that a cast may have; absent: any. */
  readonly sectors?: readonly Sector[];
}

/**
 * Slack where the depth of the fish is stated, m: half a foot. On gentle ground half a foot of depth is tens
 * of meters, and a lure cast from so far out gets down only after it has passed the fish.
 */
const STATED_SLACK = 0.5 * METERS_PER.ft;

const ANY_DEPTH = Number.POSITIVE_INFINITY;
const deeperThan = (top: number): DepthRange => ({ top: Math.max(top, MIN_WATER), bottom: ANY_DEPTH });
const ANYWHERE = deeperThan(MIN_WATER);

/** Least distance of a boat from the center of the fish, m. @param longestCast m. */
export const standOff = ({ stated }: Pick<Fish, 'stated'>, longestCast: number): number =>
  Math.min(stated === undefined ? STAND_OFF : STATED_STAND_OFF, STAND_OFF_SHARE * longestCast);

const deepBoat = ({ ground }: Fish, draft: number): DepthRange => ({
  top: Math.max(ground.bottom + CLEAR_OF_FISH, draft),
  bottom: ANY_DEPTH,
});

/**
 * Rules for a boat deeper than the fish and a cast past them, best first.
 *
 * Where the depth of the fish is stated, the first rule has the lure land shallower than the fish, so that it crosses
 * the whole band downhill. The last rule allows any landing.
 *
 * @param draft Least depth for the boat, m.
 */
export const downslopeRules = (fish: Fish, draft: number): readonly CastRule[] => {
  const boat = deepBoat(fish, draft);
  if (fish.stated === undefined) return [{ boat, landing: ANYWHERE, draft }];
  const across = { top: MIN_WATER, bottom: fish.stated.top };
  return [across, ANYWHERE].map((landing) => ({ boat, landing, draft, slack: STATED_SLACK }));
};

/** Rules for a boat shallower than the fish and a cast past them; where their depth is stated, into deeper water first. */
export const upslopeRules = ({ stated, ground }: Fish, draft: number): readonly CastRule[] => {
  const boat = { top: draft, bottom: stated?.top ?? ground.top - CLEAR_OF_FISH };
  const landings = stated === undefined ? [ANYWHERE] : [deeperThan(stated.bottom), ANYWHERE];
  return landings.map((landing) => ({ boat, landing, draft }));
};

/** True where a rule lets the boat sit over a depth, m. @param sd Standard deviation of that depth, m. */
export const isBoatDepth = ({ boat, slack = 0 }: CastRule, depth: number, sd: number): boolean =>
  depth >= boat.top - Math.min(slack, sd) && depth <= boat.bottom;

/** True for a rule that keeps the boat shallower than the fish. */
export const isShallowSide = ({ boat }: CastRule): boolean => boat.bottom < ANY_DEPTH;

/** Boat and landing at any depth, for fish with no deeper or shallower ground nearby. */
export const anyDepthRule = (draft: number): CastRule => ({
  boat: { top: draft, bottom: ANY_DEPTH },
  landing: ANYWHERE,
  draft,
});

/** Boat deeper than the fish, landing anywhere: for a cast along the structure. */
export const alongRule = (fish: Fish, draft: number): CastRule => ({
  ...anyDepthRule(draft),
  boat: deepBoat(fish, draft),
});

/** Boat and landing both deeper than the fish: for a cast across the structure. */
export const acrossRule = (fish: Fish, draft: number): CastRule => ({
  ...alongRule(fish, draft),
  landing: deeperThan(fish.ground.bottom),
});

/** Least angle between a cast from the opposite side and the first cast, deg. */
const OPPOSITE = 120;

/** Bearings of casts to the fish from the side opposite a first cast. @param bearing Bearing of the first cast, deg. */
export const opposite = (bearing: number): Sector => ({ from: bearing + OPPOSITE, to: bearing - OPPOSITE });

/** The rule with bearings limited to some sectors. */
export const within = (rule: CastRule, ...sectors: readonly Sector[]): CastRule => ({ ...rule, sectors });

export const allowsBearing = ({ sectors }: CastRule, bearing: number): boolean =>
  sectors === undefined ||
  sectors.some(({ from, to }) => clockwise(from, bearing) <= clockwise(from, to) + 1e-9);

/** Angle from one bearing clockwise to another, deg, [0, 360). */
const clockwise = (from: number, to: number): number => (((to - from) % 360) + 360) % 360;

/** Angle between two bearings, deg, [0, 180]. */
export const turnBetween = (a: number, b: number): number => Math.min(clockwise(a, b), clockwise(b, a));

/** Bearing of a vector east and north, deg, [0, 360). */
export const bearingOf = (east: number, north: number): number =>
  ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
