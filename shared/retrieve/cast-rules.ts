import { type DepthRange, METERS_PER } from '../contract/index.ts';
import type { Fish } from './fish.ts';

/**
 * Minimum difference between the depth under a boat on the deep or shallow side and the depths of the fish,
 * m: 2 ft; judgment. A boat shallower than stated depths needs no difference.
 */
const CLEAR_OF_FISH = 2 * METERS_PER.ft;

/** Minimum depth for a landing and for a retrieve, m; judgment. */
export const MIN_WATER = 0.5;

/** Maximum distance between the line of a cast and the center of the fish, m; judgment. */
export const PASSING = 5;

/** Minimum distance of the boat from the fish, m: 50 ft; judgment. */
const STAND_OFF = 50 * METERS_PER.ft;
/**
 * Minimum distance from fish on the bottom at stated depths, m: only 25 ft, because the boat stays out of
 * these depths; judgment.
 */
const STATED_STAND_OFF = 25 * METERS_PER.ft;
/** Upper limit of both minimum distances, as a share of the longest cast. */
const STAND_OFF_SHARE = 0.5;

/** Minimum distance of the landing past the fish, m; judgment. */
export const PAST_FISH = 3;

/** All bearings clockwise from `from` to `to`, deg. */
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
  /** Minimum depth for the boat, m, compared with the modeled depth less two standard deviations. */
  readonly draft: number;
  /**
   * Depth by which the boat may be shallower than `boat.top`, m, but not by more than one standard deviation
   * of the depth. Absent: 0.
   */
  readonly slack?: number;
  /** Bearings that a cast may have; absent: any. */
  readonly sectors?: readonly Sector[];
}

/**
 * Slack of a boat deeper than fish of stated depth, m: half a foot. Without slack, the boat would sit about
 * ten meters farther out on gentle ground, and the lure would get down only after it has passed the fish.
 */
const STATED_SLACK = 0.5 * METERS_PER.ft;

const ANY_DEPTH = Number.POSITIVE_INFINITY;
const deeperThan = (top: number): DepthRange => ({ top: Math.max(top, MIN_WATER), bottom: ANY_DEPTH });
const ANYWHERE = deeperThan(MIN_WATER);

/** Returns the minimum distance of a boat from the center of the fish, m. @param longestCast m. */
export const standOff = ({ stated }: Pick<Fish, 'stated'>, longestCast: number): number =>
  Math.min(stated === undefined ? STAND_OFF : STATED_STAND_OFF, STAND_OFF_SHARE * longestCast);

const deepBoat = ({ ground }: Fish, draft: number): DepthRange => ({
  top: Math.max(ground.bottom + CLEAR_OF_FISH, draft),
  bottom: ANY_DEPTH,
});

/**
 * Returns the rules for a boat deeper than the fish and a cast past them, best first.
 *
 * Where the depth of the fish is stated, the lure of the first rule lands shallower than the fish and so
 * crosses their whole band downhill. The last rule allows any landing.
 *
 * @param draft Minimum depth for the boat, m.
 */
export const downslopeRules = (fish: Fish, draft: number): readonly CastRule[] => {
  const boat = deepBoat(fish, draft);
  if (fish.stated === undefined) return [{ boat, landing: ANYWHERE, draft }];
  const across = { top: MIN_WATER, bottom: fish.stated.top };
  return [across, ANYWHERE].map((landing) => ({ boat, landing, draft, slack: STATED_SLACK }));
};

/**
 * Returns the rules for a boat shallower than the fish and a cast past them, best first.
 *
 * Where the depth of the fish is stated, the lure of the first rule lands deeper than the fish. The last rule
 * allows any landing.
 */
export const upslopeRules = ({ stated, ground }: Fish, draft: number): readonly CastRule[] => {
  const boat = { top: draft, bottom: stated?.top ?? ground.top - CLEAR_OF_FISH };
  const landings = stated === undefined ? [ANYWHERE] : [deeperThan(stated.bottom), ANYWHERE];
  return landings.map((landing) => ({ boat, landing, draft }));
};

/** Tells whether a rule lets the boat sit over a depth, m. @param sd Standard deviation of that depth, m. */
export const isBoatDepth = ({ boat, slack = 0 }: CastRule, depth: number, sd: number): boolean =>
  depth >= boat.top - Math.min(slack, sd) && depth <= boat.bottom;

export const isShallowSide = ({ boat }: CastRule): boolean => boat.bottom < ANY_DEPTH;

/** Allows any landing, and a boat in water of at least `draft`, for level ground and suspended fish. */
export const anyDepthRule = (draft: number): CastRule => ({
  boat: { top: draft, bottom: ANY_DEPTH },
  landing: ANYWHERE,
  draft,
});

/** Allows a boat deeper than the fish and any landing, for a cast along the structure. */
export const alongRule = (fish: Fish, draft: number): CastRule => ({
  ...anyDepthRule(draft),
  boat: deepBoat(fish, draft),
});

/** Allows boat and landing deeper than the fish, for a cast across the structure. */
export const acrossRule = (fish: Fish, draft: number): CastRule => ({
  ...alongRule(fish, draft),
  landing: deeperThan(fish.ground.bottom),
});

/** Minimum angle between a cast from the opposite side and the first cast, deg. */
const OPPOSITE = 120;

/**
 * Returns the bearings of casts from the side opposite the first cast.
 *
 * @param bearing Bearing of the first cast, deg.
 */
export const opposite = (bearing: number): Sector => ({ from: bearing + OPPOSITE, to: bearing - OPPOSITE });

export const within = (rule: CastRule, ...sectors: readonly Sector[]): CastRule => ({ ...rule, sectors });

export const allowsBearing = ({ sectors }: CastRule, bearing: number): boolean =>
  sectors === undefined ||
  sectors.some(({ from, to }) => clockwise(from, bearing) <= clockwise(from, to) + 1e-9);

/** Returns the angle from one bearing clockwise to another, deg, [0, 360). */
const clockwise = (from: number, to: number): number => (((to - from) % 360) + 360) % 360;

/** Returns the angle between two bearings, deg, [0, 180]. */
export const turnBetween = (a: number, b: number): number => Math.min(clockwise(a, b), clockwise(b, a));
