import type { DayProblem } from '../../shared/day/problem.ts';

/**
 * The second orienteering problem of Tsiligirides 1984, J. Oper. Res. Soc. 35(9), doi:10.1057/jors.1984.162:
 * x, y and score of the start, of 19 points and of the finish.
 *
 * Coordinates and scores were written down from memory. The best values for eleven lengths, proven here by
 * dynamic programming over all subsets, equal the eleven published ones, and the scores add up to 450.
 */
const POINTS: readonly (readonly [number, number, number])[] = [
  [4.6, 7.1, 0],
  [5.7, 11.4, 20],
  [4.4, 12.3, 20],
  [2.8, 14.3, 30],
  [3.2, 10.3, 15],
  [3.5, 9.8, 15],
  [4.4, 8.4, 10],
  [7.8, 11.0, 20],
  [8.8, 9.8, 20],
  [7.7, 8.2, 20],
  [6.3, 7.9, 15],
  [5.4, 8.2, 10],
  [5.8, 6.8, 10],
  [6.7, 5.8, 25],
  [13.8, 13.1, 40],
  [14.1, 14.2, 40],
  [11.2, 13.6, 30],
  [9.7, 16.4, 30],
  [9.5, 18.8, 50],
  [4.7, 16.8, 30],
  [5.0, 5.6, 0],
];

/** Maximum path length and the best score within it, as published. `provedScores` proves the scores. */
export const PUBLISHED_BEST: readonly (readonly [number, number])[] = [
  [15, 120],
  [20, 200],
  [23, 210],
  [25, 230],
  [27, 230],
  [30, 265],
  [32, 300],
  [35, 320],
  [38, 360],
  [40, 395],
  [45, 450],
];

/** Returns the set as a day without set-up, rest or revisits. Every stop gives its whole value at once. */
export function orienteeringDay(longest: number): DayProblem {
  const count = POINTS.length - 2;
  const width = count + 2;
  const nodes = [...POINTS.slice(1, -1), POINTS[0], POINTS[POINTS.length - 1]];
  const travel = new Float64Array(width * width);
  nodes.forEach((a, from) => {
    nodes.forEach((b, to) => {
      travel[from * width + to] = Math.hypot(a[0] - b[0], a[1] - b[1]);
    });
  });
  return {
    count,
    value: Float64Array.from({ length: count }, (_, spot) => nodes[spot][2]),
    share: Float64Array.from({ length: 2 * count }, (_, own) => (own % 2 === 0 ? 1 : 0)),
    open: new Float64Array(count).fill(-Infinity),
    close: new Float64Array(count).fill(Infinity),
    travel,
    start: 0,
    finish: longest,
    stays: [1e-9],
    rest: { setUp: 0, theta: 1e-12, rho: 1, kappa: 0, gap: 0 },
    maxVisits: 1,
  };
}

/** Finds the best score within each length by dynamic programming over subsets. @param lengths Ascending. */
export function provedScores(problem: DayProblem, lengths: readonly number[]): number[] {
  const { count, travel, value } = problem;
  const width = count + 2;
  const subsets = 1 << count;
  const shortest = new Float32Array(subsets * count).fill(Infinity);
  const best = lengths.map(() => 0);
  for (let spot = 0; spot < count; spot++)
    shortest[(1 << spot) * count + spot] = travel[count * width + spot];
  for (let subset = 1; subset < subsets; subset++) {
    let score = 0;
    for (let spot = 0; spot < count; spot++) if (subset & (1 << spot)) score += value[spot];
    for (let last = 0; last < count; last++) {
      const length = shortest[subset * count + last];
      if (length > lengths[lengths.length - 1]) continue;
      const whole = length + travel[last * width + count + 1];
      lengths.forEach((limit, at) => {
        if (whole <= limit + 1e-5 && score > best[at]) best[at] = score;
      });
      for (let next = 0; next < count; next++) {
        if (subset & (1 << next)) continue;
        const at = (subset | (1 << next)) * count + next;
        shortest[at] = Math.min(shortest[at], length + travel[last * width + next]);
      }
    }
  }
  return best;
}
