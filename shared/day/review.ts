import { type JudgedStop, judgeStops, type KindLine, linesByKind, stopsLine } from './against-expected.ts';
import { believe } from './beliefs.ts';
import type { LoggedStop } from './day-log.ts';
import { withExposures } from './learning.ts';
import type { DayPlanOptions } from './options.ts';
import { lureOf, overDaysOf } from './over-days.ts';
import { DEPTH_BAND } from './pattern.ts';
import type { FishingSpot } from './spots.ts';
import type { RestModel } from './stock.ts';

/** Results of a logged day compared with what was expected that morning. */
export type DayReview = ReturnType<typeof reviewDay>;

export type Review = NonNullable<ReturnType<typeof reviewDays>>;

/** Results of a spot on two logged days. */
export interface SpotChange {
  readonly name: string;
  readonly before: KindLine<string>;
  readonly now: KindLine<string>;
  readonly verdict: 'came on' | 'went off' | 'held' | 'stayed off';
}

/** Length of the periods of the day in `hours`, s. */
export const HOURS_WIDTH = 7200;

/**
 * Reviews the last logged day, or `date`, against the beliefs of that morning: the user's confidence and what
 * the logs of earlier days had taught.
 *
 * @param stops Sorted by date and time. @returns undefined when the day has no stops.
 */
export function reviewDays(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  options: Pick<DayPlanOptions, 'confidence' | 'fish'>,
  rest: RestModel,
  date = stops.at(-1)?.date,
) {
  const days = [...new Set(stops.map((stop) => stop.date))];
  if (date === undefined || !days.includes(date)) return undefined;
  const review = (day: string): DayReview => reviewDay(spots, stops, options, rest, day);
  const earlier = days.filter((other) => other < date).at(-1);
  const day = review(date);
  const before = earlier === undefined ? undefined : review(earlier);
  const known = stops.filter((stop) => stop.date <= date);
  return {
    day,
    /** Review of the previous logged day; undefined without one. */
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
) {
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
    /** Time of the first cast, s of the day. */
    from: Math.min(...today.map(({ time }) => time)),
    /** End of the last stop, s of the day. */
    to: Math.max(...today.map(({ time, stay }) => time + stay)),
    structures: by(({ spot }) => spot.structure),
    /** Results by 5 ft band of the mark's depth. */
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
