import type { DayProblem, Side, Stop } from '../../shared/day/problem.ts';
import { Walk } from './walk.ts';

interface Increment {
  readonly spot: number;
  readonly gain: number;
  readonly cost: number;
}

/**
 * Finds the optimal plan of a small problem by depth-first branch and bound.
 *
 * The upper bound fills the remaining time in order of value per second. Every visit still allowed counts
 * with full stock on the better side: first the shortest stay with the shortest run to the spot, then what
 * each longer stay adds. The bound ignores `factor` and `bonus`, so the problem must not have them.
 */
export function provedPlan(problem: DayProblem): { stops: Stop[]; value: number } {
  const walk = new Walk(problem);
  const increments = boundIncrements(problem);
  const last = shortestLast(problem);
  let best: Stop[] = [];
  let bestValue = 0;
  const path: Stop[] = [];
  const moves = movesByValue(problem);
  const search = () => {
    if (walk.total > bestValue + 1e-9) {
      bestValue = walk.total;
      best = path.slice();
    }
    const room = problem.finish - walk.departure[walk.depth] - last;
    if (walk.total + bound(increments, walk, room, problem.maxVisits) <= bestValue + 1e-9) return;
    for (const move of moves) {
      if (!walk.push(move.spot, move.side, move.stay)) continue;
      path.push(move);
      search();
      path.pop();
      walk.pop();
    }
  };
  search();
  return { stops: best, value: bestValue };
}

function boundIncrements(problem: DayProblem): Increment[] {
  const { count, rest, stays } = problem;
  const increments: Increment[] = [];
  for (let spot = 0; spot < count; spot++) {
    let run = Infinity;
    for (let from = 0; from <= count; from++) {
      if (from !== spot) run = Math.min(run, problem.travel[from * (count + 2) + spot]);
    }
    const share = Math.max(problem.share[2 * spot], problem.share[2 * spot + 1]);
    // A second stop at a spot may follow the first without a run.
    if (problem.maxVisits > 1) run = 0;
    let before = 0;
    let spent = 0;
    for (const stay of stays) {
      const value = problem.value[spot] * share * (1 - Math.exp(-stay / rest.theta));
      const cost = run + rest.setUp + stay;
      increments.push({ spot, gain: value - before, cost: cost - spent });
      before = value;
      spent = cost;
    }
  }
  return increments.sort((a, b) => b.gain / b.cost - a.gain / a.cost);
}

function bound(increments: readonly Increment[], walk: Walk, room: number, maxVisits: number): number {
  let value = 0;
  for (const { spot, gain, cost } of increments) {
    const times = maxVisits - walk.visits[spot];
    if (times <= 0) continue;
    if (cost * times >= room) return value + (gain * Math.max(0, room)) / cost;
    value += gain * times;
    room -= cost * times;
  }
  return value;
}

function shortestLast({ count, travel }: DayProblem): number {
  let least = Infinity;
  for (let spot = 0; spot < count; spot++) least = Math.min(least, travel[spot * (count + 2) + count + 1]);
  return least;
}

function movesByValue(problem: DayProblem): Stop[] {
  const moves: Stop[] = [];
  for (let spot = 0; spot < problem.count; spot++) {
    for (const side of [0, 1] as Side[]) {
      problem.stays.forEach((_, stay) => {
        if (problem.share[2 * spot + side] > 0) moves.push({ spot, side, stay });
      });
    }
  }
  const worth = (move: Stop) => problem.value[move.spot] * problem.share[2 * move.spot + move.side];
  return moves.sort((a, b) => worth(b) - worth(a));
}
