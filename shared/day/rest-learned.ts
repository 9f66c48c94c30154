import type { LoggedStop } from './day-log.ts';
import { seasonWeight } from './learning.ts';
import type { RestModel } from './problem.ts';

/** How soon a spot gives fish again, from the revisits of the logs. */
export interface RestLearned {
  /** s in which the part taken shrinks to 37 %: as supposed where the revisits are too few. */
  readonly recovery: number;
  readonly isLearned: boolean;
  /** Revisits to a spot that had given fish that day, by the time since it was left. */
  readonly lines: readonly RestLine[];
}

export interface RestLine {
  /** s between leaving and coming back, at least and less than. */
  readonly from: number;
  readonly to: number;
  readonly revisits: number;
  readonly hits: number;
}

/** Revisits from which on the recovery is learned; judgment. */
const ENOUGH = 6;
/** Bins of the time away, s. */
const BINS = [0, 3600, 7200, 10_800, 86_400] as const;
/** Recoveries that are tried, over the one supposed, and the spread of their logarithm beforehand; judgment. */
const TRIED = Array.from({ length: 33 }, (_, at) => 2 ** ((at - 16) / 8));
const SPREAD = 0.6;

interface Revisit {
  /** s away. */
  readonly away: number;
  /** Fish before, the share taken then, and fish and share of the stay now. */
  readonly before: number;
  readonly taken: number;
  readonly fish: number;
  readonly share: number;
  readonly weight: number;
}

/**
 * Recovery from revisits: the most probable one under a lognormal prior about `rest.rho`, catch again being Poisson with the rate
 * that the first visit showed times the stock that is back.
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

/** Pairs of stops at one spot on one day of which the first gave fish. */
function revisitsOf(stops: readonly LoggedStop[], date: string, rest: RestModel): Revisit[] {
  return stops.flatMap((stop, at) => {
    const first = stops.slice(0, at).findLast((one) => one.spot === stop.spot && one.date === stop.date);
    if (first === undefined || first.fish === 0) return [];
    const share = (stay: number): number => 1 - Math.exp(-stay / rest.theta);
    const taken = share(first.stay) * (first.side === stop.side ? 1 : rest.kappa);
    const away = Math.max(0, stop.time - first.time - first.stay);
    const before = first.fish / share(first.stay);
    return [
      {
        away,
        before,
        taken,
        fish: stop.fish,
        share: share(stop.stay),
        weight: seasonWeight(stop.date, date),
      },
    ];
  });
}

/** Logarithm of the Poisson chance of a revisit, but for what does not depend on the recovery. */
function logChance({ away, before, taken, fish, share }: Revisit, recovery: number): number {
  const mean = Math.max(1e-6, before * share * Math.max(0, 1 - taken * Math.exp(-away / recovery)));
  return fish * Math.log(mean) - mean;
}
