import type { CsvFile } from '../../shared/contract/options.ts';
import { readDay } from '../../shared/day/day.ts';
import type { DayPlanOptions } from '../../shared/day/options.ts';
import type { DayPlan } from '../../shared/day/plan.ts';
import { planDay } from '../../shared/day/plan-day.ts';
import { type Setup, setUp } from '../../shared/day/set-up.ts';
import { seededRandom } from '../../shared/math/statistics.ts';
import { formatClock } from '../../shared/text/time.ts';
import { DEFAULTS } from './lake.ts';
import { bestRateStops, nearestStops } from './simple-plans.ts';
import {
  CHECK_IN,
  type SimulatedCatch,
  SimulatedFish,
  type SimulatedWorld,
  START,
} from './simulated-world.ts';

/** How the stops of a day are chosen. */
export type Policy =
  | 'nearest next'
  | 'best rate next'
  | 'plan on paper'
  | 'greedy with the log'
  | 'replanning with the log';

export interface SimulatedDay {
  readonly caught: readonly SimulatedCatch[];
  readonly stops: number;
  /** All plans of the day, starting with the morning's; empty for policies without `planDay`. */
  readonly plans: readonly DayPlan[];
}

interface NextStop {
  readonly name: string;
  readonly spot: number;
  readonly side: 0 | 1;
  /** Time spent running, s. */
  readonly run: number;
  readonly wait: number;
  readonly stay: number;
}

const DATE = '2026-07-04';
const TALK = { report: () => {}, progress: () => {} };
/** A survey without soundings, so that all runs are estimates. */
const NO_WATER = {
  survey: { count: 0, lat: new Float64Array(0), lon: new Float64Array(0), shallowest: new Float32Array(0) },
};

/** Fishes a day in a simulated world by a policy. @param options Changes to the plan's options. */
export function simulatedDay(
  world: SimulatedWorld,
  policy: Policy,
  options: Partial<DayPlanOptions>,
): SimulatedDay {
  const fish = new SimulatedFish(world);
  const base: DayPlanOptions = { ...DEFAULTS, date: DATE, ramp: world.ramp, marks: world.marks, ...options };
  const delays = seededRandom(world.seed + 99);
  const rows: Record<string, string>[] = [];
  const caught: SimulatedCatch[] = [];
  const isLearning = policy.endsWith('the log');
  const plans: DayPlan[] = [];
  const replan = (now: DayPlanOptions): NextStop | undefined => {
    const plan = planOf(world, now);
    if (plan !== undefined) plans.push(plan);
    return stopsOf(plan)[0];
  };
  const fixed = isLearning ? [] : fixedStops(world, policy, base, plans);
  let time = START;
  let at = world.ramp;
  let stops = 0;
  for (;;) {
    const now = { ...base, now: formatClock(Math.ceil(time / 60) * 60), at, log: logOf(rows) };
    const options = stops === 0 ? base : now;
    const next = !isLearning
      ? fixed[stops]
      : policy === 'greedy with the log'
        ? greedyStop(world, options)
        : replan(options);
    if (next === undefined) break;
    const begin = time + next.run * (0.9 + 0.3 * delays()) + next.wait + base.setUp;
    const giveUp = isLearning ? Math.min(base.giveUp, 0.75 * next.stay) : Number.POSITIVE_INFINITY;
    const stop = fish.fish(next.spot, next.side, begin, next.stay, giveUp);
    time = stop.end;
    // Fish of a stop that ends after the check-in do not count.
    if (time > CHECK_IN) break;
    caught.push(...stop.caught);
    at = next.name;
    stops++;
    rows.push({
      date: base.date,
      time: formatClock(begin),
      mark: next.name,
      minutes: String(Math.max(1, Math.round((stop.end - begin) / 60))),
      fish: String(stop.caught.length),
      side: next.side === 0 ? 'D' : 'U',
      size: stop.caught.map(({ weight }) => `${weight.toFixed(2)}kg`).join(', '),
    });
  }
  return { caught, stops, plans };
}

const logOf = (rows: readonly Record<string, string>[]): CsvFile => ({
  file: 'day.csv',
  header: ['date', 'time', 'mark', 'minutes', 'fish', 'side', 'size'],
  rows: rows.map((values, at) => ({ line: at + 2, values })),
});

const planOf = (world: SimulatedWorld, options: DayPlanOptions): DayPlan | undefined =>
  planDay({ waypoints: world.waypoints, ...NO_WATER }, options, TALK);

const indexOf = (name: string): number => Number(name.slice(1)) - 1;

const stopsOf = (plan: DayPlan | undefined): NextStop[] =>
  (plan?.stops ?? []).map((stop) => ({
    name: stop.spot.name,
    spot: indexOf(stop.spot.name),
    side: stop.side.side,
    run: stop.run.seconds,
    wait: stop.begin - stop.arrive,
    stay: stop.stay,
  }));

function fixedStops(
  world: SimulatedWorld,
  policy: Policy,
  options: DayPlanOptions,
  plans: DayPlan[],
): NextStop[] {
  if (policy === 'plan on paper') {
    const plan = planOf(world, options);
    if (plan !== undefined) plans.push(plan);
    return stopsOf(plan);
  }
  const setup = setUpOf(world, options);
  return timed(setup, policy === 'nearest next' ? nearestStops(setup.problem) : bestRateStops(setup.problem));
}

const greedyStop = (world: SimulatedWorld, options: DayPlanOptions): NextStop | undefined => {
  const setup = setUpOf(world, options);
  return timed(setup, bestRateStops(setup.problem, 1))[0];
};

function setUpOf(world: SimulatedWorld, options: DayPlanOptions): Setup {
  const marks = world.waypoints.map(({ waypoint }) => waypoint);
  return setUp(world.waypoints, options, readDay(options, marks, () => {})!, [], undefined, () => {});
}

function timed({ problem, spots }: Setup, stops: ReturnType<typeof bestRateStops>): NextStop[] {
  const width = problem.count + 2;
  return stops.map(({ spot, side, stay }, at) => {
    const from = at === 0 ? problem.count : stops[at - 1].spot;
    const { name } = spots[spot];
    const wait = 0;
    return {
      name,
      spot: indexOf(name),
      side,
      run: problem.travel[from * width + spot],
      wait,
      stay: problem.stays[stay],
    };
  });
}
