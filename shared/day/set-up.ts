import { range, rollup } from 'd3-array';
import type { EnrichedWaypoint, Report } from '../contract/index.ts';
import { closedZoneAt, type Hours, localFrame, type Zone } from '../geo/index.ts';
import { formatClock, dayPlanMessages as says } from '../text/index.ts';
import { believe } from './beliefs.ts';
import { type Day, readSizes, readStays } from './day.ts';
import { readLoggedStops } from './day-log.ts';
import { steady } from './decay.ts';
import { takenOn } from './learning.ts';
import { type MarkNote, readMarkNotes, windShare } from './marks.ts';
import type { DayPlanOptions } from './options.ts';
import { overDays } from './over-days.ts';
import type { DayProblem, TimeFactor } from './problem.ts';
import { learnRest } from './rest-learned.ts';
import type { RunNetworks } from './run-networks.ts';
import { RunTimes } from './runs.ts';
import { parseWeight } from './sizes.ts';
import { type FishingSpot, type LeftOut, spotsFromMarks } from './spots.ts';
import { REST_MODEL, type RestModel } from './stock.ts';
import { withWishes } from './wishes.ts';

/** Input of the search and of the explanation of its result. */
export type Setup = ReturnType<typeof setUp>;

/** Bonus for a spot that must be in the plan; chosen to exceed the value of all the fish of a day. */
const MUST = 1e4;
/** Speed under the trolling motor when changing sides, m/s. */
const SHIFT_SPEED = 1.3;
/** Length of the way around the fish divided by the straight distance between the two sides. */
const SHIFT_DETOUR = 1.5;

/** Builds the problem of the day from marks, options, log, zones and water. */
export function setUp(
  waypoints: readonly EnrichedWaypoint[],
  options: DayPlanOptions,
  day: Day,
  zones: readonly Zone[],
  networks: RunNetworks | undefined,
  report: Report,
) {
  const found = lakeSpots(waypoints, options, report);
  const allSpots = found.spots;
  const log =
    options.log &&
    readLoggedStops(options.log, allSpots, options.date, readSizes(options, report), found.leftOut);
  log?.diagnostics.forEach(report);
  const logged = log?.stops ?? [];
  const { setUp: setUpTime, rest: gap, recovery: rho } = options;
  const assumed: RestModel = { ...REST_MODEL, setUp: setUpTime, gap, rho };
  const learnedRest = learnRest(logged, options.date, assumed);
  const { recovery } = learnedRest;
  const rest: RestModel = { ...assumed, rho: recovery, gap: (gap * recovery) / rho };
  const beliefs = believe(allSpots, logged, options, rest);
  const closed = allSpots.map((spot) => whyClosed(spot, zones, day.hours));
  const kept = range(allSpots.length).filter((index) => closed[index] === undefined);
  const spots = kept.map((index) => openSides(allSpots[index], zones, day.hours));
  const { runs, travel, running } = runTimes(spots, options, day, zones, networks, report);
  const pick = <A extends Float64Array | Uint8Array>(values: A, width: number): A =>
    values.filter((_, at) => kept.includes(Math.floor(at / width))) as A;
  const wished = (wish: MarkNote['wish']): number | undefined => {
    const at = spots.findIndex(({ note }) => note.wish === wish);
    return at < 0 ? undefined : at;
  };
  const isMust = ({ note }: FishingSpot): boolean => note.wish !== undefined;
  const today = logged.filter(({ date }) => date === options.date);
  const taken = takenOn(options.date, allSpots.length, logged, rest);
  const problem: DayProblem = {
    count: spots.length,
    value: Float64Array.from(kept, (index) => {
      const { quality, note } = allSpots[index];
      return beliefs.fish[index] * beliefs.chances[index] * quality * windShare(note, day.windFrom);
    }),
    share: Float64Array.from(
      spots.flatMap(({ sides }) => [0, 1].map((side) => sides.find((one) => one.side === side)?.share ?? 0)),
    ),
    open: Float64Array.from(spots, ({ note }) => note.open ?? -Infinity),
    close: Float64Array.from(spots, ({ note }) => note.close ?? Infinity),
    travel,
    start: day.start,
    finish: day.latestBack,
    stays: readStays(options, report),
    rest,
    maxVisits: options.visits,
    taken: {
      share: pick(taken.share, 2).map(steady),
      since: pick(taken.since, 1),
      left: pick(taken.left, 2),
      visits: pick(taken.visits, 1),
    },
    factor: factorOf(spots, day),
    bonus: spots.some(isMust) ? Float64Array.from(spots, (spot) => (isMust(spot) ? MUST : 0)) : undefined,
    // The first stop of a day in progress has already been made.
    first: today.length > 0 ? undefined : wished('first'),
    last: wished('last'),
    fuel: options.fuelRange === undefined ? undefined : { running, most: options.fuelRange / day.speed },
  };
  return {
    /** Here `value` is the expected number of fish; `searchForBag` multiplies it by the value of one fish. */
    problem,
    spots,
    chances: kept.map((index) => beliefs.chances[index]),
    weights: kept.map((index) => beliefs.weights[index]),
    weightSpreads: kept.map((index) => beliefs.weightSpreads[index]),
    overDays: overDays(allSpots, logged, beliefs, options, rest, learnedRest),
    uncertainty: beliefs.uncertainty,
    runs,
    leftOut: [
      ...found.leftOut,
      ...allSpots.flatMap(({ name }, index) => {
        const why = closed[index];
        return why === undefined ? [] : [{ name, why }];
      }),
    ],
    logged,
    allSpots,
    hasWater: networks !== undefined,
    marks: waypoints.length,
    /** Names of the spots and marks that must be in the plan. */
    musts: new Set([...found.musts, ...allSpots.filter(isMust).map(({ name }) => name)]),
  };
}

/** Groups the marks of a lake into spots, with the notes from the list of marks and the options. */
export function lakeSpots(
  waypoints: readonly EnrichedWaypoint[],
  options: DayPlanOptions,
  report: Report,
): { spots: FishingSpot[]; leftOut: LeftOut[]; musts: string[] } {
  const notes = readNotes(waypoints, options, report);
  const wished = [...notes].filter(([, { wish }]) => wish !== undefined && wish !== 'skip');
  return {
    ...spotsFromMarks(waypoints, notes, options.cast, parseWeight(options.fishWeight) ?? 1),
    musts: wished.map(([name]) => name),
  };
}

/**
 * Computes the times, s, of the runs between spots, start and end. `travel` includes fixed times and slack;
 * `running` does not.
 */
function runTimes(
  spots: readonly FishingSpot[],
  options: DayPlanOptions,
  day: Day,
  zones: readonly Zone[],
  networks: RunNetworks | undefined,
  report: Report,
): { runs: RunTimes; travel: Float64Array; running: Float64Array } {
  const places = [...spots.map((spot) => spot.sides[0]), day.from, day.end];
  const { speed, hours } = day;
  const settings = { speed, underWay: options.underWay, zones, hours };
  const runs = new RunTimes(places, networks?.during(zones, hours, speed), settings);
  const off = runs.offWater(spots.length + 1);
  if (off !== undefined && off > 0) report(says['off-known-water'](undefined, day.end.name, off));
  const running = runs.matrix().map(steady);
  const width = places.length;
  const travel = running.map((seconds, at) => {
    const [from, to] = [Math.floor(at / width), at % width];
    if (from === to) return from < spots.length ? steady(shiftSeconds(spots[from])) : 0;
    return seconds + options.underWay + (from < spots.length ? options.slack : 0);
  });
  return { runs, travel, running };
}

/** Returns the time to change sides at a spot, s; 0 with one side. */
export function shiftSeconds({ sides }: FishingSpot): number {
  if (sides.length < 2) return 0;
  const [a, b] = sides;
  const distance = Math.hypot(...localFrame(a.lat, a.lon).toLocal(b.lat, b.lon));
  return (distance * SHIFT_DETOUR) / SHIFT_SPEED;
}

/** Reads the notes on marks, by name, from the list of marks and the options. */
export function readNotes(
  waypoints: readonly EnrichedWaypoint[],
  options: DayPlanOptions,
  report: Report,
): ReadonlyMap<string, MarkNote> {
  const counts = rollup(
    waypoints,
    ({ length }) => length,
    ({ waypoint }) => waypoint.name,
  );
  const isNamed = options.marks !== undefined || options.log !== undefined;
  for (const [name, count] of counts)
    if (isNamed && count > 1) report(says['name-twice'](undefined, name, count));
  const names = new Set(counts.keys());
  const read = options.marks && readMarkNotes(options.marks, names);
  read?.diagnostics.forEach(report);
  return withWishes(read?.notes ?? new Map(), options, names, report);
}

function whyClosed({ sides, note }: FishingSpot, zones: readonly Zone[], hours: Hours): string | undefined {
  const closed = sides.map(({ lat, lon }) => closedZoneAt(zones, lat, lon, hours));
  if (closed.every((zone) => zone !== undefined)) return closedWhy(closed[0]);
  const { open = -Infinity, close = Infinity } = note;
  return close <= hours.from || open >= hours.to ? 'its hours are outside the day' : undefined;
}

const closedWhy = ({ name, open, close }: Zone): string =>
  open === undefined || close === undefined
    ? `in closed zone "${name}"`
    : `in zone "${name}", open only ${formatClock(open)} to ${formatClock(close)}`;

function openSides(spot: FishingSpot, zones: readonly Zone[], hours: Hours): FishingSpot {
  const sides = spot.sides.filter(({ lat, lon }) => closedZoneAt(zones, lat, lon, hours) === undefined);
  return { ...spot, sides };
}

const BIN = 900;

function factorOf(spots: readonly FishingSpot[], { start, checkIn }: Day): TimeFactor | undefined {
  if (spots.every(({ note }) => (note.times ?? []).length === 0)) return undefined;
  const bins = Math.max(1, Math.ceil((checkIn - start) / BIN));
  const values = new Float64Array(spots.length * bins).fill(1);
  spots.forEach(({ note }, spot) => {
    for (const { from, to, factor } of note.times ?? []) {
      for (let bin = 0; bin < bins; bin++) {
        const middle = start + (bin + 0.5) * BIN;
        if (middle >= from && middle < to) values[spot * bins + bin] *= factor;
      }
    }
  });
  return { start, width: BIN, bins, values };
}
