import { greatest } from 'd3-array';
import { difference, uniq } from 'es-toolkit';
import type { DisplayUnits } from '../../shared/contract/index.ts';
import { type DayPlan, type PlannedStop, patternCountText, stopName } from '../../shared/day/index.ts';
import { formatClock } from '../../shared/text/index.ts';

/** Maximum number of stops named in each list, so that a small screen still shows the current stop. */
const NAMED = 2;

/**
 * Writes what a new plan changes in the upcoming stops, and what the log taught: `Next F2 D at 07:10; new: K1
 * U; out: C3 D. point: 2 of 2 stops gave fish ...`; undefined when the stops and their order are the same.
 *
 * @param before Upcoming stops of the old plan.
 */
export function changeText(
  before: readonly PlannedStop[],
  after: Pick<DayPlan, 'stops' | 'pattern'>,
  units: DisplayUnits,
): string | undefined {
  const old = before.map(stopName);
  const now = after.stops.map(stopName);
  if (old.join('|') === now.join('|')) return undefined;
  const still = inBoth(old, now);
  const up = now.filter(
    (name) => old.includes(name) && !still.has(name) && now.indexOf(name) < old.indexOf(name),
  );
  const [first] = after.stops;
  const parts = [
    first === undefined ? 'No stop fits anymore' : `Next ${stopName(first)} at ${formatClock(first.arrive)}`,
    ...named('earlier', up),
    ...named('new', difference(now, old)),
    ...named('out', difference(old, now)),
  ];
  const lessons = after.pattern.filter(({ odds, hits }) => odds > LESSON && hits > 0);
  const lesson = greatest(lessons, ({ odds }) => odds);
  return `${parts.join('; ')}.${lesson === undefined ? '' : ` ${patternCountText(lesson, units)}.`}`;
}

/** Finds the longest sequence of stops that keeps its order in both plans. */
function inBoth(old: readonly string[], now: readonly string[]): ReadonlySet<string> {
  const best: string[][] = [];
  now.forEach((name, at) => {
    const place = old.indexOf(name);
    const runs = best.slice(0, at).filter((run) => run.length === 0 || old.indexOf(run.at(-1)!) < place);
    best.push(place < 0 ? [] : [...(greatest(runs, ({ length }) => length) ?? []), name]);
  });
  return new Set(greatest(best, ({ length }) => length));
}

/** A pattern is mentioned only if it multiplies the odds of fish by more than this. */
const LESSON = 1.1;

function named(word: string, stops: readonly string[]): string[] {
  const names = uniq(stops);
  if (names.length === 0) return [];
  const more = names.length > NAMED ? ` and ${names.length - NAMED} more` : '';
  return [`${word}: ${names.slice(0, NAMED).join(', ')}${more}`];
}
