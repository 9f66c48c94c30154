import { uniqBy } from 'es-toolkit/array';
import type {
  Diagnostic,
  EnrichedWaypoint,
  PluginContext,
  Report,
  Survey,
  Waypoint,
} from '../contract/index.ts';
import { boxOf, farOff, type Polygon, readShore, readZones, type Zone, zonesFarOff } from '../geo/index.ts';
import { dayPlanMessages as says, zoneMessages as saysOfZones } from '../text/index.ts';
import { bagFactors, bagRules } from './bag.ts';
import { type Day, readDay } from './day.ts';
import { steady } from './decay.ts';
import { explainStops } from './explain.ts';
import { knownWater } from './known-water.ts';
import type { DayPlanOptions } from './options.ts';
import type { DayPlan } from './plan.ts';
import { type DayProblem, isBeyondFuel } from './problem.ts';
import { RunNetworks } from './run-networks.ts';
import { type FoundPlan, searchPlan } from './search.ts';
import { type Setup, setUp } from './set-up.ts';
import { priorityWeight } from './spots.ts';

export interface DayInput {
  readonly waypoints: readonly EnrichedWaypoint[];
  readonly survey: Pick<Survey, 'count' | 'lat' | 'lon' | 'shallowest'>;
  /** Water as found by `runNetworks`, kept from an earlier plan of the lake; found anew if absent. */
  readonly networks?: RunNetworks;
}

/**
 * Plans a day: groups marks into spots, learns from the log, times the runs and searches for the best order.
 *
 * @returns undefined after an error was reported; an empty plan when nothing fits.
 */
export function planDay(
  input: DayInput,
  options: DayPlanOptions,
  talk: Pick<PluginContext, 'report' | 'progress'>,
): DayPlan | undefined {
  let hasError = false;
  const report = (diagnostic: Diagnostic): void => {
    if (diagnostic.severity === 'error') hasError = true;
    talk.report(diagnostic);
  };
  const marks = input.waypoints.map(({ waypoint }) => waypoint);
  const day = readDay(options, marks, report);
  const water = readWater(options, report);
  if (day === undefined || hasError) return undefined;
  if (isAnyFarOff(day, marks, report)) return undefined;
  const shoreAway = water.shore && zonesFarOff([{ box: boxOf(water.shore) }], marks);
  if (shoreAway !== undefined) {
    report(saysOfZones['shore-away']({ file: options.shore!.file }, shoreAway.distance, shoreAway.isSwapped));
    return undefined;
  }
  const zonesAway = zonesFarOff(water.zones, marks);
  if (zonesAway !== undefined)
    report(
      saysOfZones['no-overlap'](
        { file: options.zones!.file },
        water.zones.length,
        zonesAway.distance,
        zonesAway.isSwapped,
      ),
    );
  const networks = input.networks ?? runNetworks(input, options, [day.ramp, day.end], water.shore);
  if (networks === undefined && marks.length > 0) report(says['no-soundings'](undefined));
  const setup = setUp(input.waypoints, options, day, water.zones, networks, report);
  if (hasError) return undefined;
  const { found, factors } = searchForBag(setup, options, talk.progress);
  if (marks.length === 0) report(says['no-spots no-marks'](undefined));
  else if (setup.spots.length === 0) report(says['no-spots'](undefined));
  else if (setup.spots.every((_, spot) => isBeyondFuel(setup.problem, spot)))
    report(
      says['no-stop fuel'](undefined, setup.spots.length, options.fuelRange ?? 0, options.now !== undefined),
    );
  else if (found.stops.length === 0) {
    const minutes = Math.max(0, Math.round((day.latestBack - day.start) / 60));
    const reserve = Math.round(options.reserve / 60);
    report(says['no-stop'](undefined, setup.spots.length, minutes, reserve, options.now !== undefined));
  }
  const plan = explainStops(found, factors, { ...setup, day, options });
  const unknown = plan.stops.filter(({ run }) => run.over === 'unknown').length;
  if (setup.hasWater && unknown > 0) report(says['unknown-water'](undefined, unknown));
  for (const { name, why } of plan.leftOut)
    if (setup.musts.has(name)) report(says['must-left-out'](undefined, name, why));
  return plan;
}

/** Reports a place of the day too far from the marks to be on their lake. @returns True if any was reported. */
function isAnyFarOff(
  { ramp, end, from }: Pick<Day, 'ramp' | 'end' | 'from'>,
  marks: readonly Waypoint[],
  report: Report,
): boolean {
  const places = [['--ramp', ramp] as const, ['--end', end] as const, ['--at', from] as const];
  const faults = uniqBy(places, ([, place]) => place).flatMap(([option, place]) => {
    const far = farOff(place, marks);
    return far === undefined ? [] : [says['place-far-off'](undefined, option, far.distance, far.isSwapped)];
  });
  faults.forEach(report);
  return faults.length > 0;
}

export function readWater(
  options: Pick<DayPlanOptions, 'zones' | 'shore'>,
  report: Report,
): { readonly zones: readonly Zone[]; readonly shore?: readonly Polygon[] } {
  const zones = options.zones && readZones(options.zones.value, options.zones.file);
  const shore = options.shore && readShore(options.shore.value, options.shore.file);
  for (const read of [zones, shore]) read?.diagnostics.forEach(report);
  return { zones: zones?.zones ?? [], shore: shore?.polygons.length === 0 ? undefined : shore?.polygons };
}

/**
 * Finds the navigable water. Later plans of the day can use the result, because it does not depend on time,
 * log or zones.
 *
 * @param ends Ramp and end of the day. @returns undefined with neither soundings nor a shoreline.
 */
export function runNetworks(
  { waypoints, survey }: DayInput,
  options: Pick<DayPlanOptions, 'draft' | 'margin'>,
  ends: readonly { readonly lat: number; readonly lon: number }[],
  shore: readonly Polygon[] | undefined,
): RunNetworks | undefined {
  if (survey.count === 0 && shore === undefined) return undefined;
  const places = [...ends, ...waypoints.map(({ waypoint }) => waypoint)];
  const leastDepth = options.draft + options.margin;
  return new RunNetworks(knownWater({ soundings: survey, leastDepth, shore, places }));
}

const BAG_ROUNDS = 2;
/** Iterations of a search for `bagFactors`, as a share of the iterations of the final search. */
const BAG_SHARE = 0.2;

/**
 * Finds a good order (`found`), and how much one more fish of each spot counts (`factors`).
 *
 * Without a limit, a fish counts by the priority of the spot. With a limit, a fish counts by the weight that
 * it adds to the bag on average. This weight depends on the plan, so each round computes the factors from the
 * previous plan (Frank & Wolfe 1956, Naval Research Logistics Quarterly 3).
 */
function searchForBag(
  setup: Setup,
  options: DayPlanOptions,
  progress: (share: number) => void,
): { found: FoundPlan; factors: Float64Array } {
  const { iterations, seed } = options;
  let factors: Float64Array<ArrayBuffer> = Float64Array.from(setup.spots, priorityWeight);
  const problemOf = (): DayProblem => ({
    ...setup.problem,
    value: setup.problem.value.map((fish, spot) => steady(fish * factors[spot])),
  });
  if (options.limit > 0 && setup.spots.length > 0) {
    const rules = bagRules(setup, options);
    factors = bagFactors([], [], setup, rules, options.giveUp);
    for (let round = 0; round < BAG_ROUNDS; round++) {
      const settings = { iterations: Math.max(1, Math.round(iterations * BAG_SHARE)), seed };
      const { stops } = searchPlan(problemOf(), settings);
      factors = bagFactors(stops, factors, setup, rules, options.giveUp);
    }
  }
  return { found: searchPlan(problemOf(), { iterations, seed }, progress), factors };
}
