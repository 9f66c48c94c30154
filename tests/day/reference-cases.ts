import { readFileSync } from 'node:fs';
import type { DayProblem } from '../../shared/day/problem.ts';
import { reference } from '../reference.ts';

const FILE = reference('day-plan-instances.json');

interface Case {
  readonly n: number;
  readonly seed: number;
  readonly T0: number;
  readonly T1: number;
  readonly durs: readonly number[];
  readonly setup: number;
  readonly theta: number;
  readonly rho: number;
  readonly kappa: number;
  readonly gap: number;
  readonly maxVisits: number;
  readonly V: readonly number[];
  readonly f: readonly number[];
  readonly open: readonly (number | null)[];
  readonly close: readonly (number | null)[];
  readonly tau: readonly number[];
  readonly optimum: number;
}

export interface ReferenceCase {
  readonly name: string;
  readonly problem: DayProblem;
  /** Optimal value, proven by branch and bound. */
  readonly optimum: number;
}

/** Reads the days with a proven optimal value. */
export function readReferenceCases(): ReferenceCase[] {
  const { instances } = JSON.parse(readFileSync(FILE, 'utf8')) as { instances: Case[] };
  return instances.map((item) => ({
    name: `${item.n} spots, seed ${item.seed}`,
    problem: toProblem(item),
    optimum: item.optimum,
  }));
}

/** Converts minutes to seconds, and moves the start from node 0 to the node after the spots. */
function toProblem(item: Case): DayProblem {
  const count = item.n;
  const width = count + 2;
  const nodes = Array.from({ length: width }, (_, node) =>
    node < count ? node + 1 : node === count ? 0 : count + 1,
  );
  const spots = nodes.slice(0, count);
  return {
    count,
    value: Float64Array.from(spots, (node) => item.V[node]),
    share: Float64Array.from(spots.flatMap((node) => [item.f[2 * node], item.f[2 * node + 1]])),
    open: Float64Array.from(spots, (node) => (item.open[node] === null ? -Infinity : item.open[node] * 60)),
    close: Float64Array.from(spots, (node) => (item.close[node] === null ? Infinity : item.close[node] * 60)),
    travel: Float64Array.from(nodes.flatMap((a) => nodes.map((b) => item.tau[a * width + b] * 60))),
    start: item.T0 * 60,
    finish: item.T1 * 60,
    stays: item.durs.map((minutes) => minutes * 60),
    rest: {
      setUp: item.setup * 60,
      theta: item.theta * 60,
      rho: item.rho * 60,
      kappa: item.kappa,
      gap: item.gap * 60,
    },
    maxVisits: item.maxVisits,
  };
}
