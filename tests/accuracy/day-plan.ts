import { searchPlan } from '../../shared/day-plan/search.ts';
import { provedPlan } from '../day-plan/exact.ts';
import { inventedDay } from '../day-plan/instances.ts';
import { orienteeringDay, PUBLISHED_BEST, provedScores } from '../day-plan/orienteering-set.ts';
import { readReferenceCases } from '../day-plan/reference-cases.ts';
import { bestRateNext, nearestNext, topNearest } from '../day-plan/simple-plans.ts';
import type { Section } from '../sections.ts';

/** How near the day plan comes to proved plans, and how far it is above plans made by hand. */
export const section: Section = {
  name: 'day plan',
  run(print) {
    printReference(print);
    printOwn(print);
    printOrienteering(print);
    printSimple(print);
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
  const cases = readReferenceCases();
  if (cases === undefined) {
    print('reference days: left out, ../shared/reference is not there');
    return;
  }
  const gaps = cases.map(({ problem, optimum }) => 1 - searchPlan(problem).value / optimum);
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

/** Iterations that show how much a longer search would still find. */
const LONG = { iterations: 4000, seed: 1 };

/** Share by which the plan is above a simple one, and what the search leaves to find. */
function printSimple(print: Print): void {
  const above: number[][] = [[], [], []];
  const left: number[] = [];
  for (const seed of [1, 2, 3]) {
    const problem = inventedDay({ count: 120, seed, day: 27_000, reach: 500 });
    const { value } = searchPlan(problem);
    left.push(searchPlan(problem, LONG).value / value - 1);
    for (const [at, simple] of [nearestNext, topNearest, bestRateNext].entries()) {
      above[at].push(value / simple(problem) - 1);
    }
  }
  const names = ['nearest next', 'the k best in nearest order', 'best fish a minute next'];
  names.forEach((name, at) => {
    print(
      `120 spots, 7.5 h, above "${name}": ${above[at].map((share) => `${(100 * share).toFixed(1)} %`).join(', ')}`,
    );
  });
  print(
    `120 spots, 7.5 h, a search of ${LONG.iterations} iterations finds more: ${left.map((share) => `${(100 * share).toFixed(1)} %`).join(', ')}`,
  );
}
