import { fill, type InsertionStyle } from './insertion.ts';
import { isBetter, type Order, type Scorer } from './scorer.ts';

const LONGEST_MOVE = 3;

/** Improves an order until no move helps. @param thorough True to also try `traded`. */
export function climb(scorer: Scorer, start: Order, style: InsertionStyle, thorough: boolean): Order {
  let best = start;
  for (let before: Order | undefined; before !== best; ) {
    before = best;
    best = changed(scorer, reordered(scorer, best));
    if (best !== before) best = fill(scorer, best.stops, style);
    else if (thorough) best = traded(scorer, best, style);
  }
  return best;
}

const better = (scorer: Scorer, best: Order, stops: readonly number[]): Order => {
  const trial = scorer.score(stops);
  return isBetter(trial, best) ? trial : best;
};

/** Tries to reverse parts (2-opt), to move up to three stops elsewhere (or-opt), and to swap two stops. */
function reordered(scorer: Scorer, start: Order): Order {
  let best = start;
  const { length } = start.stops;
  for (let from = 0; from < length - 1; from++) {
    for (let to = from + 2; to <= length; to++) {
      const [head, tail] = [best.stops.slice(0, from), best.stops.slice(to)];
      const part = best.stops.slice(from, to);
      best = better(scorer, best, [...head, ...part.toReversed(), ...tail]);
      if (part.length > 3)
        best = better(scorer, best, [...head, part[part.length - 1], ...part.slice(1, -1), part[0], ...tail]);
      for (let cut = 1; cut < part.length; cut++) {
        if (cut > LONGEST_MOVE && part.length - cut > LONGEST_MOVE) continue;
        best = better(scorer, best, [...head, ...part.slice(cut), ...part.slice(0, cut), ...tail]);
      }
    }
  }
  return best;
}

/**
 * Tries for each stop every side and stay, a shorter stay in return for a longer stay at another stop, a
 * change of side at both this stop and another stop of the same spot, and removal.
 */
function changed(scorer: Scorer, start: Order): Order {
  const { stays } = scorer;
  const perSpot = 2 * stays;
  const flip = (packed: number): number => packed + (packed % perSpot < stays ? stays : -stays);
  let best = start;
  for (let at = 0; at < best.stops.length; at++) {
    const first = best.stops[at] - (best.stops[at] % perSpot);
    for (let other = first; other < first + perSpot; other++)
      best = better(scorer, best, best.stops.with(at, other));
    for (let later = 0; later < best.stops.length; later++) {
      const [one, two] = [best.stops[at], best.stops[later]];
      if (later === at) continue;
      if (one % stays > 0 && two % stays < stays - 1)
        best = better(scorer, best, best.stops.with(at, one - 1).with(later, two + 1));
      if (later > at && two - (two % perSpot) === first) {
        const flipped = best.stops.with(at, flip(best.stops[at])).with(later, flip(best.stops[later]));
        best = better(scorer, best, flipped);
      }
    }
    best = better(scorer, best, best.stops.toSpliced(at, 1));
  }
  return best;
}

/** Tries to remove each stop and fill the gap. @returns The first better order, or `start`. */
function traded(scorer: Scorer, start: Order, style: InsertionStyle): Order {
  const one = { ...style, weigh: () => 1 };
  for (let at = 0; at < start.stops.length; at++) {
    const trial = fill(scorer, start.stops.toSpliced(at, 1), one);
    if (isBetter(trial, start)) return trial;
  }
  return start;
}
