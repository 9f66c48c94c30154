import type { DayProblem, Stop } from '../../shared/day/problem.ts';

export interface RecomputedStop {
  readonly arrive: number;
  readonly begin: number;
  readonly leave: number;
  readonly worth: number;
}

/**
 * Computes the timetable and value of a plan directly from the description of the model, without using
 * the search. Every stop looks back over all earlier stops at its spot.
 */
export function recompute(
  problem: DayProblem,
  stops: readonly Stop[],
): { stops: RecomputedStop[]; end: number; value: number } {
  const { rest, travel, count } = problem;
  const done: (RecomputedStop & Stop & { taken: number })[] = [];
  let time = problem.start;
  let at = count;
  for (const stop of stops) {
    const arrive = time + travel[at * (count + 2) + stop.spot];
    const here = done.filter((other) => other.spot === stop.spot);
    const sameSide = here.filter((other) => other.side === stop.side).map((other) => other.leave + rest.gap);
    const begin = Math.max(arrive, problem.open[stop.spot], ...sameSide);
    const stay = problem.stays[stop.stay];
    const missing = (side: number) =>
      here
        .filter((other) => other.side === side)
        .reduce((sum, other) => sum + other.taken * Math.exp(-restingTime(here, other, begin) / rest.rho), 0);
    const stock = Math.max(0, 1 - missing(stop.side) - rest.kappa * missing(1 - stop.side));
    const taken = stock * (1 - Math.exp(-stay / rest.theta));
    const worth = problem.value[stop.spot] * problem.share[2 * stop.spot + stop.side] * taken;
    time = begin + rest.setUp + stay;
    at = stop.spot;
    done.push({ ...stop, arrive, begin, leave: time, worth, taken });
  }
  return {
    stops: done,
    end: time + travel[at * (count + 2) + count + 1],
    value: done.reduce((sum, stop) => sum + stop.worth, 0),
  };
}

/** Returns the time from the end of a stop until `until` without the stops at the spot in between, s. */
function restingTime(
  here: readonly { begin: number; leave: number }[],
  from: { leave: number },
  until: number,
): number {
  const later = here.filter((other) => other.begin >= from.leave);
  return until - from.leave - later.reduce((sum, other) => sum + other.leave - other.begin, 0);
}
