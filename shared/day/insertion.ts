import { factorAt } from './problem.ts';
import type { Order, Scorer } from './scorer.ts';

/** Ranking of insertions by luck * gain / weigh(seconds added). */
export interface InsertionStyle {
  /** Returns the weight of the seconds added; must not decrease with more seconds. */
  readonly weigh: (seconds: number) => number;
  /** Random factor by spot. */
  readonly luck: readonly number[];
}

/** Minimum gain of an insertion; exceeds the step of `isBetter`, so that the search cannot cycle. */
const MIN_GAIN = 1e-6;
/** Maximum length of each of the two lists of insertions to score exactly: at visited and at new spots. */
const TRIED = 4;
/** Maximum number of stops in an order; real days have fewer. Bounds searches with very short stops. */
const MAX_STOPS = 400;

interface Insertion {
  readonly score: number;
  readonly position: number;
  readonly packed: number;
  /** `weigh` of the seconds that the insertion adds. */
  readonly cost: number;
}

/** Inserts the best stop into an order repeatedly, until no likely insertion gains or the order is full. */
export function fill(scorer: Scorer, kept: readonly number[], style: InsertionStyle): Order {
  let best = scorer.score(kept);
  for (let before: Order | undefined; best !== before && best.stops.length < MAX_STOPS; ) {
    before = best;
    let bestScore = 0;
    for (const { position, packed, cost } of likelyInsertions(scorer, before, style)) {
      const trial = scorer.score(before.stops.toSpliced(position, 0, packed));
      const gain = trial.value - before.value;
      const score = (style.luck[scorer.spotOf(packed)] * gain) / cost;
      if (gain > MIN_GAIN && score > bestScore) [best, bestScore] = [trial, score];
    }
  }
  return best;
}

/**
 * Finds the insertions with the best estimated scores. The estimate counts only one effect on other stops:
 * the loss of the next visit to the spot.
 */
function likelyInsertions(scorer: Scorer, order: Order, { weigh, luck }: InsertionStyle): Insertion[] {
  const { problem, count, stays, dwell, limit, width, fresh, most } = scorer;
  const { travel, share, bonus, maxVisits } = problem;
  const { stops } = order;
  scorer.score(stops);
  // Checking one spot at one position counts as a third of a scored stop.
  scorer.work += (count * (stops.length + 1)) / 3;
  const latest = scorer.latestArrivals(order);
  const used = scorer.school.visits.slice();
  const nextAt = new Int32Array(count).fill(-1);
  for (let at = stops.length - 1; at >= 0; at--) nextAt[scorer.spotOf(stops[at])] = at;
  const [outside, inside]: [Insertion[], Insertion[]] = [[], []];
  scorer.reset();
  for (let position = 0; ; position++) {
    const [from, departed, until] = [scorer.node * width, scorer.time, latest[position]];
    const next = position === stops.length ? count + 1 : scorer.spotOf(stops[position]);
    const ready = departed + travel[from + next];
    for (let spot = 0; spot < count; spot++) {
      const arrive = departed + travel[from + spot];
      const onward = travel[spot * width + next];
      if (!(arrive + dwell[0] + onward <= until) || used[spot] >= maxVisits) continue;
      const list = used[spot] > 0 ? inside : outside;
      const least = list.length < TRIED ? 0 : list[TRIED - 1].score;
      if (luck[spot] * most[spot] <= least * weigh(arrive + dwell[0] + onward - ready)) continue;
      if (!fitsOrder(scorer, stops, position, spot)) continue;
      for (let own = 2 * spot; own < 2 * spot + 2; own++) {
        if (share[own] <= 0 || (used[spot] === 0 && share[own] < share[own ^ 1])) continue;
        const begin = scorer.beginAt(own, arrive);
        const again = nextAt[spot];
        let last = Math.min(until - onward, limit[spot]);
        let quality = scorer.school.at(own, begin) * factorAt(problem, spot, begin);
        if (again >= 0) {
          if (Math.floor(stops[again] / stays) === own)
            last = Math.min(last, latest[again] - problem.rest.gap);
          quality *= 1 - lossAt(scorer, again, stops[again], own, begin);
        }
        for (let stay = 0; stay < stays && begin + dwell[stay] <= last; stay++) {
          const packed = own * stays + stay;
          const gain = fresh[packed] * quality + (used[spot] === 0 ? (bonus?.[spot] ?? 0) : 0);
          const cost = weigh(begin + dwell[stay] + onward - ready);
          keep(list, { score: (luck[spot] * gain) / cost, position, packed, cost });
        }
      }
    }
    if (position === stops.length) return [...outside, ...inside];
    const spot = scorer.spotOf(stops[position]);
    scorer.make(stops[position]);
    nextAt[spot] = stops.findIndex((packed, at) => at > position && scorer.spotOf(packed) === spot);
  }
}

function keep(list: Insertion[], insertion: Insertion): void {
  let at = list.length;
  while (at > 0 && list[at - 1].score < insertion.score) at--;
  if (at >= TRIED) return;
  list.splice(at, 0, insertion);
  list.length = Math.min(list.length, TRIED);
}

/**
 * True when an insertion keeps the required first spot first and the required last spot last. Second visits
 * to these two spots are refused.
 */
function fitsOrder(scorer: Scorer, stops: readonly number[], position: number, spot: number): boolean {
  const { first, last } = scorer.problem;
  const isAt = (end: number | undefined, at: number): boolean =>
    stops.length > 0 && end !== undefined && scorer.spotOf(stops[at]) === end;
  const { length } = stops;
  if (position === 0 ? isAt(first, 0) : spot === first) return false;
  return !(position === length ? isAt(last, length - 1) : spot === last);
}

/**
 * Estimates how much a new stop at a spot reduces the gain of the next visit to that spot, as a share of the
 * new stop's gain.
 *
 * @param again Position of the next visit in the plan. @param packed The next visit, packed as side and stay.
 * @param own Side index of the new stop. @param begin Start of the new stop, s of the day.
 */
function lossAt(scorer: Scorer, again: number, packed: number, own: number, begin: number): number {
  const { problem, stays, dwell, yields } = scorer;
  const other = Math.floor(packed / stays);
  const part = (problem.share[other] / problem.share[own]) * yields[packed % stays];
  const rested = Math.max(0, scorer.begin[again] - begin - dwell[0]);
  return part * (other === own ? 1 : problem.rest.kappa) * scorer.decay(rested / problem.rest.rho);
}
