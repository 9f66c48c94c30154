import type { DayProblem, Side, Stop } from './problem.ts';
import type { Walk } from './walk.ts';

/** Stops of a plan in order, each packed into one number: (spot * 2 + side) * stays + stay. */
export type Sequence = number[];

export const packStop = (problem: DayProblem, stop: Stop): number =>
  (stop.spot * 2 + stop.side) * problem.stays.length + stop.stay;

export function unpackStop(problem: DayProblem, packed: number): Stop {
  const stays = problem.stays.length;
  const own = Math.floor(packed / stays);
  return { spot: own >> 1, side: (own & 1) as Side, stay: packed % stays };
}

/** Spot of a packed stop. */
export const spotOf = (problem: DayProblem, packed: number): number =>
  Math.floor(packed / (2 * problem.stays.length));

/** Adds a packed stop to a walk; false when it breaks a rule. */
export function pushPacked(walk: Walk, stays: number, packed: number): boolean {
  const own = Math.floor(packed / stays);
  return walk.push(own >> 1, own & 1, packed - own * stays);
}

/**
 * Walks a sequence from stop `from` on, the first `from` stops being walked already.
 *
 * @returns True when every stop could be added; otherwise the walk stands where it failed.
 */
export function walkFrom(walk: Walk, stays: number, sequence: Sequence, from: number): boolean {
  for (let at = from; at < sequence.length; at++) if (!pushPacked(walk, stays, sequence[at])) return false;
  return true;
}

/** Value and end of a whole sequence; value -Infinity when it breaks a rule. */
export function scoreSequence(walk: Walk, stays: number, sequence: Sequence): { value: number; end: number } {
  walk.popTo(0);
  if (!walkFrom(walk, stays, sequence, 0)) return { value: -Infinity, end: Infinity };
  return { value: walk.total, end: walk.end };
}
