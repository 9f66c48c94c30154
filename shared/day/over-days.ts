import { type JudgedStop, judgeStops, type KindLine, linesByKind } from './against-expected.ts';
import { type Beliefs, believe } from './beliefs.ts';
import type { LoggedStop } from './day-log.ts';
import type { FishPerStop } from './fish-per-stop.ts';
import { withExposures } from './learning.ts';
import type { DayPlanOptions } from './options.ts';
import { learnRest, type RestLearned } from './rest-learned.ts';
import type { FishingSpot } from './spots.ts';
import type { RestModel } from './stock.ts';

export interface OverDays {
  readonly days: number;
  readonly perStop: FishPerStop;
  readonly rest: RestLearned;
  readonly lures: readonly KindLine<string>[];
  /** Results by casting distance in steps of `DISTANCE_STEP`. */
  readonly distances: readonly KindLine<number>[];
  /** Lure with clearly better results than expected and than any other lure in the comparison. */
  readonly bestLure?: KindLine<string>;
  /** Casting distance with clearly better results than expected and than any other in the comparison. */
  readonly bestDistance?: KindLine<number>;
}

/** Step of casting distance, m (10 yd). */
export const DISTANCE_STEP = 9.144;
/** Minimum number of stops with a lure or at a casting distance for it to be compared; judgment. */
const MIN_STOPS = 4;
/** As `MIN_STOPS`, for the total time of the stops, s. */
const MIN_TIME = 3600;
/** Minimum quotient of the best and the second-best `ratio`; judgment. */
const CLEARLY = 1.4;

/**
 * Sums up all logged days, given the beliefs and the recovery learned from the stops.
 *
 * @param stops Sorted by date and time. @param rest Rest model used for the beliefs.
 */
export function overDays(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  { perStop }: Pick<Beliefs, 'perStop'>,
  { confidence }: Pick<DayPlanOptions, 'confidence'>,
  rest: RestModel,
  restLearned: RestLearned,
): OverDays {
  const judged = judgeStops(
    withExposures(spots.length, stops, rest),
    spots,
    spots.map(({ note }) => note.confidence ?? confidence),
    spots.map(() => perStop.fish),
  );
  const lures = linesByKind(judged, lureOf);
  const distances = linesByKind(judged, distanceStep);
  return {
    days: new Set(stops.map((stop) => stop.date)).size,
    perStop,
    rest: restLearned,
    lures,
    distances,
    bestLure: favored(lures),
    bestDistance: favored(distances),
  };
}

/** Sums up all logged days, after learning beliefs and recovery from the stops. */
export function overDaysOf(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  options: Pick<DayPlanOptions, 'confidence' | 'fish' | 'date'>,
  rest: RestModel,
): OverDays {
  const restLearned = learnRest(stops, options.date, rest);
  return overDays(spots, stops, believe(spots, stops, options, rest), options, rest, restLearned);
}

/** Returns the lure of a stop with case and spaces normalized; undefined if no lure was logged. */
export const lureOf = ({ stop }: Pick<JudgedStop, 'stop'>): string | undefined =>
  stop.lure === '' ? undefined : stop.lure.toLowerCase().replace(/\s+/g, ' ');

const distanceStep = ({ stop }: Pick<JudgedStop, 'stop'>): number | undefined =>
  stop.distance === undefined ? undefined : Math.floor(stop.distance / DISTANCE_STEP + 1e-6);

/** Returns the line of the clearly best kind; undefined without one or with too little data to compare. */
function favored<K extends string | number>(lines: readonly KindLine<K>[]): KindLine<K> | undefined {
  const [best, next] = lines
    .filter(({ stops, seconds }) => stops >= MIN_STOPS && seconds >= MIN_TIME)
    .sort((a, b) => b.ratio - a.ratio);
  const isAhead = next !== undefined && best.verdict === 'more' && best.ratio > CLEARLY * next.ratio;
  return isAhead ? best : undefined;
}
