import { searchPlan } from '../../shared/day/search.ts';
import { provedPlan } from '../day/exact.ts';
import { groupedDay, inventedDay } from '../day/instances.ts';
import { orienteeringDay, PUBLISHED_BEST, provedScores } from '../day/orienteering-set.ts';
import { readReferenceCases } from '../day/reference-cases.ts';
import { bestRateNext, nearestNext, topNearest, topThatFit } from '../day/simple-plans.ts';
import type { Section } from '../sections.ts';
import { printWorlds } from './day-worlds.ts';

/** Compares day plans with proven optimal plans and with simple rules, and tests them on simulated days. */
export const section: Section = {
  name: 'day plan',
  run(print) {
    printReference(print);
    printOwn(print);
    printOrienteering(print);
    printSimple(print);
    printWorlds(print);
  },
};

type Print = (line: string) => void;

const percent = (share: number): string => `${(100 * share).toFixed(3)} %`;

function printGaps(print: Print, what: string, gaps: readonly number[]): void {
  const exact = gaps.filter((gap) => gap < 1e-6).length;
  const mean = gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length;
  print(
    `${what}: ${exact} of ${gaps.length} exact, mean gap ${percent(mean)}, worst ${percent(Math.max(...gaps))}`,
  );
}

function printReference(print: Print): void {
  const gaps = readReferenceCases().map(({ problem, optimum }) => 1 - searchPlan(problem).value / optimum);
  printGaps(print, 'reference days of 5 to 12 spots, proved by branch and bound elsewhere', gaps);
}

function printOwn(print: Print): void {
  const gaps: number[] = [];
  for (const count of [5, 6, 7, 8]) {
    for (let seed = 21; seed <= 30; seed++) {
      const problem = inventedDay({ count, seed, day: 11_400, stays: [1200, 1800], windows: 0.25 });
      gaps.push(1 - searchPlan(problem).value / provedPlan(problem).value);
    }
  }
  printGaps(print, 'invented days of 5 to 8 spots, proved by the branch and bound of the tests', gaps);
}

function printOrienteering(print: Print): void {
  const lengths = PUBLISHED_BEST.map(([length]) => length);
  const proved = provedScores(orienteeringDay(45), lengths);
  const isPublished = proved.every((score, at) => score === PUBLISHED_BEST[at][1]);
  const found = lengths.map((length) => Math.round(searchPlan(orienteeringDay(length)).value));
  const exact = found.filter((score, at) => score === proved[at]).length;
  print(
    `orienteering set 2 of Tsiligirides: proved scores ${isPublished ? 'equal' : 'differ from'} the published, ${exact} of ${found.length} reached`,
  );
}

/** Seeds of the days compared with simple rules. */
const SEEDS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
/** Seeds of days that were not used to develop the search. */
const FURTHER = SEEDS.map((seed) => seed + 10);
/** Settings of a longer search, which shows how much the usual one misses. */
const LONG = { iterations: 10_000, seed: 1 };

/** Prints by how much the plan beats each simple rule, and what a longer search adds. */
function printSimple(print: Print): void {
  const days = {
    'spread evenly': (seed: number) => inventedDay({ count: 120, seed, day: 27_000, reach: 500 }),
    'in groups': (seed: number) => groupedDay(120, seed),
  };
  const simple = {
    'nearest next': nearestNext,
    'the k best that fit, nearest order': topThatFit,
    'the k best in nearest order, best k': topNearest,
    'most fish per minute next': bestRateNext,
  };
  for (const [what, make] of Object.entries(days)) {
    const problems = SEEDS.map(make);
    const values = problems.map((problem) => searchPlan(problem).value);
    for (const [name, byHand] of Object.entries(simple)) {
      const above = problems.map((problem, at) => values[at] / byHand(problem) - 1);
      print(`120 spots ${what}, 7.5 h, 10 days: value above "${name}", ${spread(above)}`);
      print(`  by day, %: ${above.map((share) => (100 * share).toFixed(1)).join(' ')}`);
    }
    const further = FURTHER.map(make).map((day) => searchPlan(day).value / bestRateNext(day) - 1);
    print(`120 spots ${what}, 10 further days: value above "most fish per minute next", ${spread(further)}`);
    print(`  by day, %: ${further.map((share) => (100 * share).toFixed(1)).join(' ')}`);
    const more = problems.map((problem, at) => searchPlan(problem, LONG).value / values[at] - 1);
    print(`120 spots ${what}: gain of ${LONG.iterations} iterations, ${spread(more)}`);
    print(`  by day, %: ${more.map((share) => (100 * share).toFixed(2)).join(' ')}`);
  }
}

/** Formats the mean, minimum and maximum of shares. */
function spread(shares: readonly number[]): string {
  const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length;
  const [least, most] = [Math.min(...shares), Math.max(...shares)];
  return `mean ${(100 * mean).toFixed(2)} %, minimum ${(100 * least).toFixed(2)} %, maximum ${(100 * most).toFixed(2)} %`;
}
