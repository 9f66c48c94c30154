import { sum } from 'd3-array';
import type { DisplayUnits } from '../../shared/contract/index.ts';
import {
  type DayPlan,
  DISTANCE_STEP,
  type KindLine,
  minutesOf,
  type OverDays,
  patternLineText,
} from '../../shared/day/index.ts';
import { lengthText } from '../../shared/text/index.ts';

export function learnedLines(plan: DayPlan, units: DisplayUnits): string[] {
  if (plan.logged === 0) return [];
  return [
    ...plan.pattern.map((line) => patternLineText(line, units)),
    ...overDaysLines(plan.overDays, units),
  ];
}

export function overDaysLines(found: OverDays, units: DisplayUnits): string[] {
  return [fishLine(found), restLine(found), ...tackleLines(found, units)];
}

/** Lists what all logged days say about lures and distance. Only options of `enrich` can put this to use. */
export const tackleLines = (found: OverDays, units: DisplayUnits): string[] => [
  ...lureLines(found),
  ...distanceLines(found, units),
];

function fishLine({ perStop, days }: OverDays): string {
  const { fish, assumed, stops, caught } = perStop;
  const from = `${caught} fish at ${stops} ${stops === 1 ? 'stop' : 'stops'} on ${days} ${days === 1 ? 'day' : 'days'}`;
  return `a long stay where fish bite: ${fish.toFixed(1)} fish (from ${from} and the assumed ${assumed} of --fish)`;
}

function restLine({ rest: { lines, recovery, isLearned } }: OverDays): string {
  const known = lines.filter(({ revisits }) => revisits > 0);
  const revisits = sum(known, (line) => line.revisits);
  if (!isLearned)
    return `rest: ${revisits === 0 ? 'no' : revisits} ${revisits === 1 ? 'revisit' : 'revisits'} to spots that had given fish, too few to learn from; a recovery of ${minutesOf(recovery)} min is assumed (--recovery)`;
  const counts = known.map(({ from, to, revisits: all, hits }) => {
    const hours = to > 20_000 ? `${from / 3600} h or more` : `${from / 3600}-${to / 3600} h`;
    return `${hits} of ${all} after ${hours}`;
  });
  return `rest: revisits that gave fish again: ${counts.join(', ')}; a plan uses a recovery of ${minutesOf(recovery)} min`;
}

/** Writes the figures of a kind of stop: `9 fish at 5 stops in 120 min, 4.1 expected`. */
export const figuresOf = ({ fish, stops, seconds, expected }: KindLine): string =>
  `${fish} fish at ${stops} ${stops === 1 ? 'stop' : 'stops'} in ${minutesOf(seconds)} min, ${expected.toFixed(1)} expected`;

function lureLines({ lures, bestLure }: OverDays): string[] {
  if (lures.length === 0) return ['lures: none noted in the log, so nothing is learned about them'];
  const best =
    bestLure === undefined
      ? 'lures: none is clearly ahead yet'
      : `your logs favor the ${bestLure.kind}: to plan casts with it, run downslope enrich with --lures and a file with only that lure`;
  return [...lures.map((line) => `${line.kind}: ${figuresOf(line)} in all your logs`), best];
}

function distanceLines({ distances, bestDistance }: OverDays, units: DisplayUnits): string[] {
  const text = (step: number): string => lengthText(step * DISTANCE_STEP, units);
  const range = ({ kind }: KindLine<number>): string => `${text(kind)} to ${text(kind + 1)}`;
  const lines = distances.map(
    (line) => `fish ${range(line)} from the boat: ${figuresOf(line)} in all your logs`,
  );
  if (bestDistance === undefined) return lines;
  const sit = `to sit that far off, run downslope enrich with --cast ${text(bestDistance.kind + 1)}`;
  return [...lines, `your logs favor fish ${range(bestDistance)} from the boat: ${sit}`];
}
