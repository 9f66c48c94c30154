import type { Diagnostic, EnrichedWaypoint, Survey } from '../contract/index.ts';
import { closedZoneAt, type Hours, type Polygon, readShore, readZones, type Zone } from '../geo/index.ts';
import { parseWind } from '../retrieve/index.ts';
import {
  formatClock,
  parseClock,
  parseNumber,
  parsePlace,
  parseSpeed,
  dayPlan as says,
} from '../text/index.ts';
import { type LoggedStop, readLoggedStops } from './day-log.ts';
import { explainStops } from './explain.ts';
import { knownWater } from './known-water.ts';
import { learn } from './learning.ts';
import { type MarkNote, readMarkNotes, windShare } from './marks.ts';
import type { DayPlanOptions } from './options.ts';
import { patternShift, shiftChance } from './pattern.ts';
import type { DayPlan, LeftOut, PlanPlace } from './plan.ts';
import { type DayProblem, REST_MODEL, type RestModel, type TimeFactor } from './problem.ts';
import { RunTimes } from './runs.ts';
import { searchPlan } from './search.ts';
import { type FishingSpot, priorityWeight, spotsFromMarks } from './spots.ts';

export interface DayInput {
  readonly waypoints: readonly EnrichedWaypoint[];
  readonly survey: Pick<Survey, 'count' | 'lat' | 'lon' | 'shallowest'>;
}

interface Talk {
  report(diagnostic: Diagnostic): void;
  progress(share: number): void;
}

/**
 * The plan of a day: spots from marks, beliefs from the log, runs over known water, the best order found.
 *
 * @returns undefined after an error was reported; an empty plan when nothing fits.
 */
export function planDay(input: DayInput, options: DayPlanOptions, talk: Talk): DayPlan | undefined {
  let hasError = false;
  const report = (diagnostic: Diagnostic): void => {
    if (diagnostic.severity === 'error') hasError = true;
    talk.report(diagnostic);
  };
  const day = readDay(options, report);
  const water = readWater(options, report);
  if (day === undefined || hasError) return undefined;
  const setup = setUp(input, options, day, water, report);
  if (hasError) return undefined;
  const found = searchPlan(
    setup.problem,
    { iterations: options.iterations, seed: options.seed },
    talk.progress,
  );
  if (setup.spots.length === 0) report(says.noSpots());
  else if (found.stops.length === 0) {
    report(
      says.noFeasibleStop(setup.spots.length, Math.max(0, Math.round((day.latestBack - day.start) / 60))),
    );
  }
  const plan = explainStops(found, { ...setup, day, options });
  const estimates = plan.stops.filter(({ run }) => run.over === 'estimate').length;
  if (setup.hasWater && estimates > 0) report(says.estimatedRuns(estimates));
  return plan;
}

/** Times and places of the day. */
export interface Day {
  readonly start: number;
  readonly checkIn: number;
  readonly latestBack: number;
  readonly ramp: PlanPlace;
  readonly from: PlanPlace;
  readonly hours: Hours;
  readonly speed: number;
  readonly windFrom?: number;
}

/** What is wrong with times, places and stays of the day, or contradicts; known before anything is read. */
export function dayProblems(options: DayPlanOptions): Diagnostic[] {
  const problems: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => void problems.push(diagnostic);
  readDay(options, report);
  readStays(options, report);
  return problems.filter(({ severity }) => severity === 'error');
}

function readDay(options: DayPlanOptions, report: (diagnostic: Diagnostic) => void): Day | undefined {
  const refuse = (diagnostic: Diagnostic): undefined => void report(diagnostic);
  if (options.ramp === undefined) return refuse(says.rampMissing());
  const ramp = parsePlace(options.ramp);
  if (ramp === undefined) return refuse(says.placeText('--ramp', options.ramp));
  const leave = parseClock(options.start) ?? 0;
  const checkIn = parseClock(options.checkIn) ?? 0;
  if (checkIn <= leave) return refuse(says.checkInBeforeStart(options.start, options.checkIn));
  const { now, at } = options;
  if ((now === undefined) !== (at === undefined))
    return refuse(now === undefined ? says.nowAlone('--at', '--now') : says.nowAlone('--now', '--at'));
  const start = now === undefined ? leave : (parseClock(now) ?? leave);
  if (start < leave || start >= checkIn)
    return refuse(says.nowOutside(now ?? '', options.start, options.checkIn));
  const here = at === undefined ? undefined : parsePlace(at);
  const wind = options.wind === undefined ? undefined : parseWind(options.wind);
  const speed = speedInWind(options, wind?.speed, report);
  return {
    start,
    checkIn,
    latestBack: checkIn - options.reserve,
    ramp: { name: 'ramp', ...ramp },
    from: here === undefined ? { name: 'ramp', ...ramp } : { name: 'here', ...here },
    hours: { from: start, to: checkIn },
    speed,
    windFrom: wind?.from,
  };
}

/** Run speed in the wind of the day: that of the strongest wind listed that is not above it. */
function speedInWind(
  options: DayPlanOptions,
  wind: number | undefined,
  report: (diagnostic: Diagnostic) => void,
): number {
  let speed = options.speed;
  let strongest = -1;
  for (const text of options.speedInWind ?? []) {
    const [from, run, ...more] = text.split('=').map(parseSpeed);
    if (!(from >= 0 && run > 0) || more.length > 0) report(says.roughText(text));
    else if (wind !== undefined && wind >= from && from > strongest) {
      strongest = from;
      speed = Math.min(options.speed, run);
    }
  }
  return speed;
}

interface GivenWater {
  readonly zones: readonly Zone[];
  readonly shore?: readonly Polygon[];
}

function readWater(options: DayPlanOptions, report: (diagnostic: Diagnostic) => void): GivenWater {
  const zones = options.zones === undefined ? undefined : readZones(options.zones.value, options.zones.file);
  zones?.diagnostics.forEach(report);
  if (options.shore === undefined) return { zones: zones?.zones ?? [] };
  const shore = readShore(options.shore.value, options.shore.file);
  shore.diagnostics.forEach(report);
  return { zones: zones?.zones ?? [], shore: shore.polygons };
}

/** Everything the search and its explanation need. */
export interface Setup {
  readonly problem: DayProblem;
  readonly spots: readonly FishingSpot[];
  readonly chances: readonly number[];
  readonly runs: RunTimes;
  readonly leftOut: readonly LeftOut[];
  readonly logged: readonly LoggedStop[];
  readonly allSpots: readonly FishingSpot[];
  readonly hasWater: boolean;
}

function setUp(
  { waypoints, survey }: DayInput,
  options: DayPlanOptions,
  day: Day,
  { zones, shore }: GivenWater,
  report: (diagnostic: Diagnostic) => void,
): Setup {
  const notes = readNotes(waypoints, options, report);
  const allSpots = spotsFromMarks(waypoints, notes, options.cast);
  const log = options.log === undefined ? undefined : readLoggedStops(options.log, allSpots, options.date);
  log?.diagnostics.forEach(report);
  const logged = log?.stops ?? [];
  const rest: RestModel = { ...REST_MODEL, setUp: options.setUp, gap: options.rest, rho: options.recovery };
  const stays = readStays(options, report);
  const learned = learn(
    allSpots.map(({ note }) => note.confidence ?? options.confidence),
    options.fish,
    logged,
    options.date,
    rest,
  );
  const chances = learned.beliefs.map(({ chance }, spot) =>
    shiftChance(chance, patternShift(spot, allSpots, logged)),
  );
  const { kept, leftOut } = sortOut(allSpots, zones, day);
  const spots = kept.map((index) => openSides(allSpots[index], zones, day.hours));
  const places = [...spots.map((spot) => spot.sides[0]), day.from, day.ramp];
  const hasWater = survey.count > 0 || shore !== undefined;
  const water = hasWater
    ? knownWater({
        soundings: survey,
        leastDepth: options.draft + options.margin,
        shore,
        zones,
        hours: day.hours,
        places,
      })
    : undefined;
  if (!hasWater && spots.length > 0) report(says.noKnownWater());
  const { speed, hours } = day;
  const runs = new RunTimes(places, water, { speed, underWay: options.underWay, zones, hours });
  const off = runs.offWater(spots.length + 1);
  if (off !== undefined && off > 0) report(says.placeOffWater('The ramp', off));
  const pick = <A extends Float64Array | Uint8Array>(values: A, width: number): A =>
    values.filter((_, at) => kept.includes(Math.floor(at / width))) as A;
  const problem: DayProblem = {
    count: spots.length,
    value: Float64Array.from(kept, (index) =>
      worth(allSpots[index], chances[index], learned.beliefs[index].fish, day),
    ),
    share: Float64Array.from(
      spots.flatMap(({ sides }) => [0, 1].map((side) => sides.find((one) => one.side === side)?.share ?? 0)),
    ),
    open: Float64Array.from(spots, ({ note }) => note.open ?? -Infinity),
    close: Float64Array.from(spots, ({ note }) => note.close ?? Infinity),
    travel: runs.matrix(),
    start: day.start,
    finish: day.latestBack,
    stays,
    rest,
    maxVisits: options.visits,
    taken: {
      share: pick(learned.taken.share, 2),
      since: pick(learned.taken.since, 1),
      left: pick(learned.taken.left, 2),
      visits: pick(learned.taken.visits, 1),
    },
    factor: factorOf(spots, day),
  };
  return {
    problem,
    spots,
    chances: kept.map((index) => chances[index]),
    runs,
    leftOut,
    logged,
    allSpots,
    hasWater,
  };
}

function readNotes(
  waypoints: readonly EnrichedWaypoint[],
  options: DayPlanOptions,
  report: (diagnostic: Diagnostic) => void,
): ReadonlyMap<string, MarkNote> {
  const counts = new Map<string, number>();
  for (const { waypoint } of waypoints) counts.set(waypoint.name, (counts.get(waypoint.name) ?? 0) + 1);
  const isNamed = options.marks !== undefined || options.log !== undefined;
  for (const [name, count] of counts) if (isNamed && count > 1) report(says.nameTwice(name, count));
  if (options.marks === undefined) return new Map();
  const { notes, diagnostics } = readMarkNotes(options.marks, new Set(counts.keys()));
  diagnostics.forEach(report);
  return notes;
}

/** Lengths of stops, s, ascending, from minutes. */
function readStays({ stays }: DayPlanOptions, report: (diagnostic: Diagnostic) => void): number[] {
  if (stays.length === 0) report(says.stayText(''));
  const minutes = stays.map((text) => {
    const value = parseNumber(text);
    if (!Number.isInteger(value) || value < 1 || value > 240) report(says.stayText(text));
    return value;
  });
  return [...new Set(minutes)].sort((a, b) => a - b).map((value) => value * 60);
}

function worth(spot: FishingSpot, chance: number, fish: number, { windFrom }: Day): number {
  return fish * chance * priorityWeight(spot) * windShare(spot.note, windFrom);
}

/** Spots that may be fished at all, and why the others may not. */
function sortOut(
  spots: readonly FishingSpot[],
  zones: readonly Zone[],
  { hours }: Day,
): { kept: number[]; leftOut: LeftOut[] } {
  const kept: number[] = [];
  const leftOut: LeftOut[] = [];
  spots.forEach((spot, index) => {
    const zone = spot.sides
      .map(({ lat, lon }) => closedZoneAt(zones, lat, lon, hours))
      .find((found) => found);
    const isAnyOpen = openSides(spot, zones, hours).sides.length > 0;
    const { open = -Infinity, close = Infinity } = spot.note;
    if (!isAnyOpen) leftOut.push({ name: spot.name, why: closedWhy(zone!) });
    else if (close <= hours.from || open >= hours.to)
      leftOut.push({ name: spot.name, why: 'its hours are outside the day' });
    else kept.push(index);
  });
  return { kept, leftOut };
}

const closedWhy = ({ name, open, close }: Zone): string =>
  open === undefined || close === undefined
    ? `in closed zone "${name}"`
    : `in zone "${name}", free only ${formatClock(open)} to ${formatClock(close)}`;

/** A spot with only the sides whose boat position is in no closed zone. */
function openSides(spot: FishingSpot, zones: readonly Zone[], hours: Hours): FishingSpot {
  const sides = spot.sides.filter(({ lat, lon }) => closedZoneAt(zones, lat, lon, hours) === undefined);
  return { ...spot, sides };
}

/** Width of the bins of light, s. */
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
