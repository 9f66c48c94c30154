import type { LoggedStop } from './day-log.ts';
import { seasonWeight } from './learning.ts';
import type { RestModel } from './stock.ts';

/** How soon a spot gives fish again, learned from revisits in the logs. */
export interface RestLearned {
  /** Time in which the share taken shrinks to 37 %, s; the assumed value when there are too few revisits. */
  readonly recovery: number;
  readonly isLearned: boolean;
  /** Revisits to a spot that had given fish that day, grouped by the time since it was left. */
  readonly lines: readonly RestLine[];
}

export interface RestLine {
  /** Time between leaving and returning, s: at least `from`, less than `to`. */
  readonly from: number;
  readonly to: number;
  readonly revisits: number;
  readonly hits: number;
}

/** Fewest revisits from which recovery is learned; judgment. */
const ENOUGH = 6;
/** Limits of the bins for time away, s. */
const BINS = [0, 3600, 7200, 10_800, 86_400] as const;
/** Recovery times tried, relative to the assumed one, and the prior standard deviation of their logarithm; judgment. */
const TRIED = Array.from({ length: 33 }, (_, at) => 2 ** ((at - 16) / 8));
const SPREAD = 0.6;

interface Revisit {
  /** Time away, s. */
  readonly away: number;
  /** Fish before, share taken then, and fish and share of the present stay. */
  readonly before: number;
  readonly taken: number;
  readonly fish: number;
  readonly share: number;
  readonly weight: number;
}

/**
 * Recovery time from revisits: the most probable value under a log-normal prior about `rest.rho`. The catch on return
 * is Poisson, with the rate of the first visit times the stock that has recovered.
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
  const scores = TRIED.map(
    (factor) =>
      revisits.reduce((sum, revisit) => sum + revisit.weight * logChance(revisit, factor * rest.rho), 0) -
      (Math.log(factor) / SPREAD) ** 2 / 2,
  );
  return { recovery: TRIED[scores.indexOf(Math.max(...scores))] * rest.rho, isLearned: true, lines };
}

/** Pairs of stops at one spot on one day, where the first stop gave fish. */
function revisitsOf(stops: readonly LoggedStop[], date: string, rest: RestModel): Revisit[] {
  return stops.flatMap((stop, at) => {
    const first = stops.slice(0, at).findLast((one) => one.spot === stop.spot && one.date === stop.date);
    if (first === undefined || first.fish === 0) return [];
    const share = (stay: number): number => 1 - Math.exp(-stay / rest.theta);
    const taken = share(first.stay) * (first.side === stop.side ? 1 : rest.kappa);
    const away = Math.max(0, stop.time - first.time - first.stay);
    const before = first.fish / share(first.stay);
    const weight = seasonWeight(stop.date, date);
    return [{ away, before, taken, fish: stop.fish, share: share(stop.stay), weight }];
  });
}

/** Logarithm of the Poisson probability of a revisit, without terms that do not depend on the recovery time. */
function logChance({ away, before, taken, fish, share }: Revisit, recovery: number): number {
  const mean = Math.max(1e-6, before * share * Math.max(0, 1 - taken * Math.exp(-away / recovery)));
  return fish * Math.log(mean) - mean;
}
