import { greatest, sum } from 'd3-array';
import type { LoggedStop } from './day-log.ts';
import { seasonWeight } from './learning.ts';
import type { RestModel } from './stock.ts';

/** How soon a spot gives fish again, learned from revisits in the logs. */
export interface RestLearned {
  /** Time in which the share taken shrinks to 1/e, s; the assumed value when there are too few revisits. */
  readonly recovery: number;
  readonly isLearned: boolean;
  /** Revisits to spots where the previous stop of the day gave fish, grouped by the time away. */
  readonly lines: readonly RestLine[];
}

export interface RestLine {
  /** Minimum time between leaving and returning, s. */
  readonly from: number;
  /** Upper limit of the time between leaving and returning, s; not included. */
  readonly to: number;
  readonly revisits: number;
  /** Number of revisits that gave fish. */
  readonly hits: number;
}

/** Minimum number of revisits for learning the recovery time; judgment. */
const ENOUGH = 6;
/** Times between leaving and returning that separate the lines, s. */
const BINS = [0, 3600, 7200, 10_800, 86_400] as const;
/** Recovery times tried, relative to the assumed recovery time. */
const TRIED = Array.from({ length: 33 }, (_, at) => 2 ** ((at - 16) / 8));
/** Prior standard deviation of the logarithm of the recovery time; judgment. */
const SPREAD = 0.6;

/**
 * Learns the recovery time from revisits: the most probable value under a log-normal prior about `rest.rho`.
 * The catch at a revisit is Poisson. Its mean is the catch of the previous stop, adjusted for the lengths of
 * both stops and for the stock at the revisit.
 *
 * @param stops Sorted by date and time. @param date Day of the plan; older days count less.
 */
export function learnRest(stops: readonly LoggedStop[], date: string, rest: RestModel): RestLearned {
  const revisits = revisitsOf(stops, date, rest);
  const lines = BINS.slice(1).map((to, at): RestLine => {
    const of = revisits.filter(({ away }) => away >= BINS[at] && away < to);
    return { from: BINS[at], to, revisits: of.length, hits: of.filter(({ fish }) => fish > 0).length };
  });
  if (revisits.length < ENOUGH) return { recovery: rest.rho, isLearned: false, lines };
  const scoreOf = (factor: number): number =>
    sum(revisits, (revisit) => revisit.weight * logChance(revisit, factor * rest.rho)) -
    (Math.log(factor) / SPREAD) ** 2 / 2;
  return { recovery: greatest(TRIED, scoreOf)! * rest.rho, isLearned: true, lines };
}

/** Finds the revisits: stops at spots where the previous stop on the same day gave fish. */
function revisitsOf(stops: readonly LoggedStop[], date: string, rest: RestModel) {
  const shareOf = (stay: number): number => 1 - Math.exp(-stay / rest.theta);
  return stops.flatMap(({ spot, date: day, time, side, stay, fish }, at) => {
    const previous = stops.slice(0, at).findLast((one) => one.spot === spot && one.date === day);
    if (previous === undefined || previous.fish === 0) return [];
    const away = Math.max(0, time - previous.time - previous.stay);
    /** Fish that the previous stop would have given if it had taken the whole stock. */
    const before = previous.fish / shareOf(previous.stay);
    /** Share of the stock on this side that the previous stop took. */
    const taken = shareOf(previous.stay) * (previous.side === side ? 1 : rest.kappa);
    return [{ away, before, taken, fish, share: shareOf(stay), weight: seasonWeight(day, date) }];
  });
}

type Revisit = ReturnType<typeof revisitsOf>[number];

/** Returns the log-probability of the catch at a revisit, up to a constant. */
function logChance({ away, before, taken, fish, share }: Revisit, recovery: number): number {
  const mean = Math.max(1e-6, before * share * Math.max(0, 1 - taken * Math.exp(-away / recovery)));
  return fish * Math.log(mean) - mean;
}
