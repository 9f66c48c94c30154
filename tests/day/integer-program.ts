import * as highsModule from 'highs';
import type { DayProblem } from '../../shared/day/problem.ts';

/**
 * Finds the optimal value of a day without revisits with the library HiGHS, as a mixed-integer program of
 * arcs, stays and start times. Time windows and the finish are modeled; `factor`, `bonus` and `fuel` are not.
 */
export async function programValue(problem: DayProblem): Promise<number> {
  const highs = await load();
  const result = highs.solve(programText(problem), { mip_rel_gap: 0, output_flag: false });
  if (result.Status !== 'Optimal') throw new Error(`integer program ended as ${result.Status}`);
  return result.ObjectiveValue;
}

// The package's types wrongly give the default export the type of the whole module.
const load = (highsModule as unknown as { default: () => Promise<highsModule.Highs> }).default;

/** Writes the program in LP text format. Times are in minutes so that the coefficients have similar sizes. */
function programText(problem: DayProblem): string {
  const { count, stays, rest, travel } = problem;
  const spots = Array.from({ length: count }, (_, spot) => spot);
  const minutes = (seconds: number) => (seconds / 60).toFixed(9);
  const gains: string[] = [];
  const rows: string[] = [];
  const binary: string[] = [];
  for (const spot of spots) {
    const share = Math.max(problem.share[2 * spot], problem.share[2 * spot + 1]);
    stays.forEach((stay, at) => {
      const value = problem.value[spot] * share * (1 - Math.exp(-stay / rest.theta));
      gains.push(`+ ${value.toFixed(12)} y${spot}_${at}`);
      binary.push(`y${spot}_${at}`);
    });
    const visited = stays.map((_, at) => `- y${spot}_${at}`).join(' ');
    const into = [count, ...spots.filter((from) => from !== spot)].map((from) => `x${from}_${spot}`);
    const out = [...spots.filter((to) => to !== spot), count + 1].map((to) => `x${spot}_${to}`);
    binary.push(...out);
    rows.push(`${into.join(' + ')} ${visited} = 0`, `${out.join(' + ')} ${visited} = 0`);
    const lengths = stays.map((stay, at) => `+ ${minutes(stay + rest.setUp)} y${spot}_${at}`).join(' ');
    const latest = latestOf(problem, spot);
    rows.push(`t${spot} ${lengths} <= ${minutes(latest)}`);
    rows.push(`t${spot} >= ${minutes(earliestOf(problem, spot))}`);
    for (const to of spots) {
      if (to === spot) continue;
      // An unused arc must not restrict the two start times beyond their own limits.
      const room = latest - earliestOf(problem, to);
      const big = minutes(room + travel[spot * (count + 2) + to]);
      rows.push(`t${spot} ${lengths} - t${to} + ${big} x${spot}_${to} <= ${minutes(room)}`);
    }
    rows.push(`t${spot} - ${minutes(travel[count * (count + 2) + spot])} x${count}_${spot} >= 0`);
    binary.push(`x${count}_${spot}`);
  }
  rows.push(`${spots.map((spot) => `x${count}_${spot}`).join(' + ')} <= 1`);
  return `Maximize\n obj: ${gains.join(' ')}\nSubject To\n${rows.map((row, at) => ` r${at}: ${row}`).join('\n')}\nBinary\n ${binary.join('\n ')}\nEnd\n`;
}

/** Returns the earliest start of a stop, s after the start of the day; never more than `latestOf`. */
function earliestOf(problem: DayProblem, spot: number): number {
  const { count, travel, open, start } = problem;
  const earliest = Math.max(travel[count * (count + 2) + spot], open[spot] - start);
  return Math.min(earliest, latestOf(problem, spot));
}

/** Returns the latest end of a stop, s after the start of the day. */
const latestOf = ({ count, travel, close, start, finish }: DayProblem, spot: number): number =>
  Math.min(close[spot], finish - travel[spot * (count + 2) + count + 1]) - start;
