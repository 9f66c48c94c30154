import { KG_PER_LB } from '../../shared/day/sizes.ts';
import { type Policy, type SimulatedDay, simulatedDay } from '../day/simulated-day.ts';
import { simulatedWorld, WORLDS, type WorldKind } from '../day/simulated-world.ts';
import { bagsBySize } from './day-sizes.ts';

/** Number of days in each world. The planner was developed on days with seeds from 1001 on. */
const DAYS = 20;
/** Seeds of the days that show how much words about size can gain. */
const LIST_DAYS = Array.from({ length: 600 }, (_, at) => 5001 + at);
/** Search iterations, for a plan that is remade at every stop. */
const ITERATIONS = 30;

const POLICIES: readonly Policy[] = [
  'nearest next',
  'best rate next',
  'plan on paper',
  'greedy with the log',
  'replanning with the log',
];

type Print = (line: string) => void;

/**
 * Prints fish and best five on simulated days in worlds that differ from the planner's model, and how
 * accurate the outlook is.
 */
export function printWorlds(print: Print, first = 1, days = DAYS): void {
  const gains: number[] = [];
  for (const kind of WORLDS) gains.push(...printWorld(print, kind, first, days));
  print(`all worlds: replanning for the best five is ${meanText(gains)} lb above replanning for numbers`);
}

/**
 * @returns By day, the gain in the best five, lb, from replanning for the best five instead of for numbers.
 */
function printWorld(print: Print, kind: WorldKind, first: number, days: number): number[] {
  const worlds = Array.from({ length: days }, (_, at) => simulatedWorld(kind, first + at));
  const runs = new Map(
    POLICIES.map((policy) => [
      policy,
      worlds.map((world) => simulatedDay(world, policy, { limit: 0, iterations: ITERATIONS })),
    ]),
  );
  const fish = POLICIES.map((policy) => runs.get(policy)!.map(({ caught }) => caught.length));
  print(`world "${kind}", ${days} days, fish a day (mean +- standard error):`);
  POLICIES.forEach((policy, at) => {
    print(`  ${policy.padEnd(24)}${meanText(fish[at])}`);
  });
  const last = POLICIES.length - 1;
  for (let at = 0; at < last; at++) {
    const above = fish[last].map((count, day) => count - fish[at][day]);
    print(`  replanning minus "${POLICIES[at]}", same days: ${meanText(above)}`);
  }
  const forBag = worlds.map((world) =>
    simulatedDay(world, 'replanning with the log', { limit: 5, iterations: ITERATIONS }),
  );
  const numbers = runs.get('replanning with the log')!;
  const gains = forBag.map((day, at) => bagOf(day) - bagOf(numbers[at]));
  print(
    `  best five, replanning for them: ${meanText(forBag.map(bagOf))} lb, ${meanText(gains)} lb above replanning for numbers`,
  );
  const [even, ...bySize] = bagsBySize(kind, LIST_DAYS, (caught) => bagOf({ caught }));
  const above = bySize.map(
    ({ exponent, bags }) => `${meanText(bags.map((bag, at) => bag - even.bags[at]))} lb (power ${exponent})`,
  );
  print(
    `  best five, spots fished by list, ${LIST_DAYS.length} days: order by confidence times size minus order by confidence ${above.join(', ')}`,
  );
  const paper = worlds.map((world) =>
    simulatedDay(world, 'plan on paper', { limit: 5, iterations: ITERATIONS }),
  );
  print(`  result within the outlook, days in ten: ${outlookText(paper, forBag)}`);
  return gains;
}

/** Weight of the best five fish of at least 0.9 lb, lb. */
const bagOf = ({ caught }: Pick<SimulatedDay, 'caught'>): number =>
  caught
    .map(({ weight }) => weight)
    .filter((weight) => weight >= 0.9 * KG_PER_LB)
    .sort((a, b) => b - a)
    .slice(0, 5)
    .reduce((sum, weight) => sum + weight, 0) / KG_PER_LB;

/** Times of day at which the outlook is compared with the end of the day, h. */
const HOURS = [6.5, 9.5, 12] as const;

function outlookText(paper: readonly SimulatedDay[], forBag: readonly SimulatedDay[]): string {
  const fish = shares(paper.map(({ plans, caught }) => place(caught.length, plans[0].outlook.fish)));
  const bags = HOURS.map((hour) => {
    const found = forBag.map((day) => {
      const plan = day.plans.find(({ start }) => start >= hour * 3600) ?? day.plans.at(-1)!;
      return place(bagOf(day) * KG_PER_LB, plan.outlook.bag!);
    });
    return `replanning, best five by the outlook at ${hour} h ${shares(found)}`;
  });
  const best = shares(paper.map((day) => place(bagOf(day) * KG_PER_LB, day.plans[0].outlook.bag!)));
  return [`on paper fish ${fish}, best five ${best}`, ...bags].join('; ');
}

/** Returns -1 below an interval, 0 within it, 1 above it, to within the rounding of the stated limits. */
const place = (value: number, [low, , high]: readonly [number, number, number]): number =>
  value < low - 0.02 ? -1 : value > high + 0.02 ? 1 : 0;

/** Text such as `7.9 (1.4 below, 0.7 above)`. */
function shares(places: readonly number[]): string {
  const share = (which: number): string =>
    ((10 * places.filter((one) => one === which).length) / places.length).toFixed(1);
  return `${share(0)} (${share(-1)} below, ${share(1)} above)`;
}

function meanText(values: readonly number[]): string {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1);
  return `${mean.toFixed(1)} +- ${Math.sqrt(variance / values.length).toFixed(1)}`;
}
