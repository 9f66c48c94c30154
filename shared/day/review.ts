import { type JudgedStop, judgeStops, type KindLine, linesByKind, stopsLine } from './against-expected.ts';
import { believe } from './beliefs.ts';
import type { LoggedStop } from './day-log.ts';
import { withExposures } from './learning.ts';
import type { DayPlanOptions } from './options.ts';
import { lureOf, type OverDays, overDaysOf } from './over-days.ts';
import { DEPTH_BAND } from './pattern.ts';
import type { FishingSpot } from './spots.ts';
import type { RestModel } from './stock.ts';

/** Results of a logged day compared with what was expected that morning. */
export interface DayReview {
  readonly date: string;
  readonly all: KindLine<string>;
  /** Times of the first cast and of the end of the last stop, s of the day. */
  readonly from: number;
  readonly to: number;
  readonly structures: readonly KindLine<string>[];
  /** Results by 5 ft band of the mark's depth. */
  readonly depths: readonly KindLine<number>[];
  /** Results by two-hour period in which the stop began. */
  readonly hours: readonly KindLine<number>[];
  readonly lures: readonly KindLine<string>[];
  readonly spots: readonly KindLine<string>[];
  /** Distinct winds as logged. */
  readonly winds: readonly string[];
}

export interface Review {
  readonly day: DayReview;
  /** The previous logged day, and the spots fished on both days. */
  readonly before?: DayReview;
  readonly changes: readonly SpotChange[];
  readonly overDays: OverDays;
}

/** A spot on two days. */
export interface SpotChange {
  readonly name: string;
  readonly before: KindLine<string>;
  readonly now: KindLine<string>;
  readonly verdict: 'came on' | 'went off' | 'held' | 'stayed off';
}

/** Length of the periods in which stops are counted, s. */
export const HOURS_WIDTH = 7200;

/**
 * Review of the last logged day, or of `date`, against the beliefs of that morning: the user's confidence and what the
 * logs of earlier days had taught.
 *
 * @param stops Sorted by date and time. @returns undefined when the day has no stops.
 */
export function reviewDays(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  options: Pick<DayPlanOptions, 'confidence' | 'fish'>,
  rest: RestModel,
  date = stops.at(-1)?.date,
): Review | undefined {
  const days = [...new Set(stops.map((stop) => stop.date))];
  if (date === undefined || !days.includes(date)) return undefined;
  const review = (day: string): DayReview => reviewDay(spots, stops, options, rest, day);
  const earlier = days.filter((other) => other < date).at(-1);
  const day = review(date);
  const before = earlier === undefined ? undefined : review(earlier);
  const known = stops.filter((stop) => stop.date <= date);
  return {
    day,
    before,
    changes: before === undefined ? [] : changesOf(before, day),
    overDays: overDaysOf(spots, known, { ...options, date }, rest),
  };
}

function reviewDay(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  options: Pick<DayPlanOptions, 'confidence' | 'fish'>,
  rest: RestModel,
  date: string,
): DayReview {
  const earlier = stops.filter((stop) => stop.date < date);
  const today = stops.filter((stop) => stop.date === date);
  const morning = believe(spots, earlier, { ...options, date }, rest);
  const exposed = withExposures(spots.length, today, rest);
  const judged = judgeStops(exposed, spots, morning.chances, morning.fish);
  const by = <K extends string | number>(kindOf: (stop: JudgedStop) => K | undefined): KindLine<K>[] =>
    linesByKind(judged, kindOf);
  return {
    date,
    all: stopsLine('all', judged),
    from: Math.min(...today.map(({ time }) => time)),
    to: Math.max(...today.map(({ time, stay }) => time + stay)),
    structures: by(({ spot }) => spot.structure),
    depths: by(({ spot }) => (spot.depth === undefined ? undefined : Math.floor(spot.depth / DEPTH_BAND))),
    hours: by(({ stop }) => Math.floor(stop.time / HOURS_WIDTH)),
    lures: by(lureOf),
    spots: by(({ spot }) => spot.name),
    winds: [...new Set(today.map(({ wind }) => wind).filter((wind) => wind !== ''))],
  };
}

function changesOf(before: DayReview, day: DayReview): SpotChange[] {
  return day.spots.flatMap((now) => {
    const then = before.spots.find(({ kind }) => kind === now.kind);
    if (then === undefined) return [];
    const verdict =
      now.fish > 0 ? (then.fish > 0 ? 'held' : 'came on') : then.fish > 0 ? 'went off' : 'stayed off';
    return [{ name: now.kind, before: then, now, verdict }];
  });
}
