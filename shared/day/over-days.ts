import { type JudgedStop, judgeStops, type KindLine, linesByKind } from './against-expected.ts';
import { type Beliefs, believe } from './beliefs.ts';
import type { LoggedStop } from './day-log.ts';
import type { FishPerStop } from './fish-per-stop.ts';
import { exposuresOf } from './learning.ts';
import type { DayPlanOptions } from './options.ts';
import type { RestModel } from './problem.ts';
import { learnRest, type RestLearned } from './rest-learned.ts';
import type { FishingSpot } from './spots.ts';

/** What all logged days of a lake say, each with its counts. */
export interface OverDays {
  readonly days: number;
  readonly perStop: FishPerStop;
  readonly rest: RestLearned;
  /** By lure as logged, and by the distance of the cast in steps of 9.144 m (10 yd). */
  readonly lures: readonly KindLine<string>[];
  readonly distances: readonly KindLine<number>[];
  /** The kind that gave clearly more than was expected, where several were tried. */
  readonly bestLure?: KindLine<string>;
  readonly bestDistance?: KindLine<number>;
}

/** m; 10 yd. */
export const DISTANCE_STEP = 9.144;
/** Stops and s of fishing with each of two kinds before one is favored, and by how much; judgment. */
const LEAST_STOPS = 4;
const LEAST_TIME = 3600;
const CLEARLY = 1.4;

/** @param stops Sorted by date and time. @param rest The model that the beliefs go by. @param restLearned From the same stops. */
export function overDays(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  { perStop }: Pick<Beliefs, 'perStop'>,
  { confidence }: Pick<DayPlanOptions, 'confidence'>,
  rest: RestModel,
  restLearned: RestLearned,
): OverDays {
  const judged = judgeStops(
    stops,
    spots,
    spots.map(({ note }) => note.confidence ?? confidence),
    spots.map(() => perStop.fish),
    exposuresOf(spots.length, stops, rest),
    rest,
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

/** The same from the log alone, with what the options of a plan suppose. */
export function overDaysOf(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  options: Pick<DayPlanOptions, 'confidence' | 'fish' | 'date'>,
  rest: RestModel,
): OverDays {
  const restLearned = learnRest(stops, options.date, rest);
  return overDays(spots, stops, believe(spots, stops, options, rest), options, rest, restLearned);
}

/** Lure of a stop as logged, in lower case so that it counts as one however it was typed. */
export const lureOf = ({ stop }: Pick<JudgedStop, 'stop'>): string | undefined =>
  stop.lure === '' ? undefined : stop.lure.toLowerCase().replace(/\s+/g, ' ');

/** Number of the 10 yd step of the distance that a stop was fished at. */
const distanceStep = ({ stop }: Pick<JudgedStop, 'stop'>): number | undefined =>
  stop.distance === undefined ? undefined : Math.floor(stop.distance / DISTANCE_STEP + 1e-6);

/** The line that did best beside others, if there is enough of it and of another and the difference is clear. */
function favored<K extends string | number>(lines: readonly KindLine<K>[]): KindLine<K> | undefined {
  const enough = lines
    .filter(({ stops, seconds }) => stops >= LEAST_STOPS && seconds >= LEAST_TIME)
    .sort((a, b) => b.ratio - a.ratio);
  const [best, next] = enough;
  return next !== undefined && best.verdict === 'more' && best.ratio > CLEARLY * next.ratio
    ? best
    : undefined;
}
