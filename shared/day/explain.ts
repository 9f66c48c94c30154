import type { DayPlanOptions } from './options.ts';
import { patternLines } from './pattern.ts';
import { type DayPlan, type Fallback, type LeftOut, type PlannedStop, sideLetter } from './plan.ts';
import type { Day, Setup } from './plan-day.ts';
import type { DayProblem, Stop } from './problem.ts';
import { Scorer } from './scorer.ts';
import type { FoundPlan } from './search.ts';
import { priorityWeight, type SpotSide } from './spots.ts';
import { Walk } from './walk.ts';

interface Story extends Setup {
  readonly day: Day;
  readonly options: DayPlanOptions;
}

/** The found order with its times, runs, fallbacks and reasons. */
export function explainStops(found: FoundPlan, story: Story): DayPlan {
  const { problem, day, options, runs, spots } = story;
  const walk = new Walk(problem);
  const others: Other[][] = [];
  for (const stop of found.stops) {
    walk.push(stop.spot, stop.side, stop.stay);
    others.push(othersAt(walk, found.stops, stop.spot, story));
  }
  const latest = latestArrivals(problem, found.stops);
  const stops = found.stops.map((stop, at): PlannedStop => {
    const visit = found.stops.slice(0, at + 1).filter(({ spot }) => spot === stop.spot).length;
    return explainStop(stop, at, visit, walk, latest, fallbacksOf(others[at], at, found.stops, walk), story);
  });
  const last = found.stops.at(-1)?.spot ?? spots.length;
  const home = runs.run(last, spots.length + 1);
  const boats = [day.from, ...stops.map(({ side }) => side), day.ramp];
  return {
    date: options.date,
    start: day.start,
    checkIn: day.checkIn,
    latestBack: day.latestBack,
    back: walk.departure[walk.depth] + home.seconds,
    ramp: day.ramp,
    from: day.from,
    stops: stops.map((stop, at) => ({ ...stop, run: runs.between(stop.run, boats[at], boats[at + 1]) })),
    home: runs.between(home, boats[stops.length], day.ramp),
    fish: stops.reduce((sum, { fish }) => sum + fish, 0),
    spots: story.allSpots.length,
    leftOut: [...story.leftOut, ...notChosen(found.stops, walk, story)],
    pattern: patternLines(story.allSpots, story.logged),
    logged: story.logged.length,
    hasWater: story.hasWater,
    giveUp: options.giveUp,
    speed: day.speed,
  };
}

/** By position, the finish last: the latest arrival with the rest of the plan still possible, s of the day. */
function latestArrivals(problem: DayProblem, stops: readonly Stop[]): Float64Array {
  const scorer = new Scorer(problem);
  const draft = scorer.newDraft();
  const latest = new Float64Array(stops.length + 1);
  for (const stop of stops) draft.stops[draft.length++] = scorer.pack(stop);
  if (scorer.score(draft)) scorer.latestArrivals(draft, latest);
  return latest;
}

function explainStop(
  stop: Stop,
  at: number,
  visit: number,
  walk: Walk,
  latest: Float64Array,
  fallbacks: readonly Fallback[],
  { problem, spots, chances, runs }: Story,
): PlannedStop {
  const spot = spots[stop.spot];
  const side = spot.sides.find((candidate) => candidate.side === stop.side)!;
  const from = walk.node[at] === problem.count ? spots.length : walk.node[at];
  const run = runs.run(from, stop.spot);
  const depth = at + 1;
  const next = depth < walk.depth ? walk.node[depth + 1] : problem.count + 1;
  const arrive = walk.arrival[depth];
  const begin = walk.begin[depth];
  const isWaiting = begin > arrive + 1;
  const worth = walk.value[depth] - walk.value[depth - 1];
  const fish = worth / priorityWeight(spot);
  const leave = walk.departure[depth];
  const latestLeave = Math.min(
    latest[depth] - problem.travel[stop.spot * (problem.count + 2) + next],
    problem.close[stop.spot],
  );
  return {
    spot,
    side,
    visit: visit + (problem.taken?.visits[stop.spot] ?? 0),
    arrive,
    begin,
    leave,
    latestLeave: Math.max(leave, latestLeave),
    stay: problem.stays[stop.stay],
    waitsFor: isWaiting ? (problem.open[stop.spot] >= begin - 1 ? 'opening' : 'rest') : undefined,
    restUntil: leave + problem.rest.gap,
    run,
    fish,
    worth,
    stock: walk.stock[depth],
    chance: chances[stop.spot],
    why: whyStop(
      spot.note.priority ?? 1,
      side,
      chances[stop.spot],
      walk.stock[depth],
      fish,
      walk.departure[depth] - walk.departure[depth - 1],
    ),
    fallbacks,
  };
}

function whyStop(
  priority: number,
  side: SpotSide,
  chance: number,
  stock: number,
  fish: number,
  seconds: number,
): string {
  const parts = [`${fish.toFixed(1)} fish expected in ${Math.round(seconds / 60)} min with the run`];
  parts.push(`chance ${Math.round(chance * 100)} %`);
  if (priority > 1) parts.push(`priority ${priority}`);
  if (side.share < 0.995) parts.push(`this side gives ${Math.round(side.share * 100)} % of the better one`);
  parts.push(stock > 0.995 ? 'rested' : `${Math.round(stock * 100)} % rested`);
  return parts.join(', ');
}

/** A place to go to instead, before the rest of the plan is known. */
interface Other extends Omit<Fallback, 'plannedFor'> {
  readonly index: number;
  readonly rate: number;
}

/** s of fishing that a fallback is judged by, where there is room for it; otherwise the shortest stay. */
const FALLBACK_STAY = 1200;
const FALLBACKS = 2;

/**
 * The best other places from here once it is given up, by fish per time: those that the plan does not visit any
 * more first, since to fish a later stop early takes from that stop; then later stops, but not the next two.
 */
function othersAt(
  walk: Walk,
  stops: readonly Stop[],
  here: number,
  { problem, spots, options }: Story,
): Other[] {
  const givenUp = walk.begin[walk.depth] + problem.rest.setUp + options.giveUp;
  const now = Math.min(walk.departure[walk.depth], givenUp);
  const later = stops.slice(walk.depth).map(({ spot }) => spot);
  const coming = later.slice(0, 2);
  const width = problem.count + 2;
  const found = spots.flatMap((spot, index) => {
    if (index === here || coming.includes(index)) return [];
    const seconds = problem.travel[here * width + index];
    const begin = now + seconds;
    const home = problem.travel[index * width + problem.count + 1];
    const last = Math.min(problem.close[index], problem.finish - home) - begin - problem.rest.setUp;
    const stay = last >= FALLBACK_STAY ? FALLBACK_STAY : problem.stays[0];
    if (stay > last || begin < problem.open[index]) return [];
    const leave = begin + problem.rest.setUp + stay;
    const yields = 1 - Math.exp(-stay / problem.rest.theta);
    return spot.sides.flatMap((side) => {
      const own = 2 * index + side.side;
      if (walk.left[own] + problem.rest.gap > begin) return [];
      const kept = Math.exp(-Math.max(0, begin - walk.since[index]) / problem.rest.rho);
      const stock = Math.max(0, 1 - kept * (walk.taken[own] + problem.rest.kappa * walk.taken[own ^ 1]));
      const worth = problem.value[index] * problem.share[own] * stock * yields;
      const fish = worth / priorityWeight(spot);
      const rate = worth / (leave - now);
      return [{ name: spot.name, side: sideLetter(side), seconds, fish, rate, index }];
    });
  });
  const isLater = ({ index }: { index: number }): number => (later.includes(index) ? 1 : 0);
  found.sort((a, b) => isLater(a) - isLater(b) || b.rate - a.rate || a.index - b.index);
  const chosen = found.filter((one, at) => found.findIndex((other) => other.index === one.index) === at);
  return chosen.slice(0, FALLBACKS);
}

/** Other places with the time at which the whole plan fishes them, if it does later. */
function fallbacksOf(
  others: readonly Other[],
  at: number,
  stops: readonly Stop[],
  walk: Walk,
): readonly Fallback[] {
  return others.map(({ index, name, side, seconds, fish }) => {
    const next = stops.findIndex(({ spot }, later) => later > at && spot === index);
    return { name, side, seconds, fish, plannedFor: next < 0 ? undefined : walk.begin[next + 1] };
  });
}

/** A reason for each spot that could have been fished and is not in the plan. */
function notChosen(stops: readonly Stop[], walk: Walk, { problem, spots }: Story): LeftOut[] {
  const used = new Set(stops.map(({ spot }) => spot));
  const width = problem.count + 2;
  const weakest = weakestStop(walk, spots);
  return spots.flatMap((spot, index) => {
    if (used.has(index)) return [];
    const alone = new Walk(problem);
    const sides = spot.sides.map(({ side }) => side);
    const isPossible = sides.some((side) => {
      const isIn = alone.push(index, side, 0);
      alone.popTo(0);
      return isIn;
    });
    if (!isPossible)
      return [{ name: spot.name, why: 'a stop there does not fit between start, its hours and check-in' }];
    let nearest = Infinity;
    for (const from of [...used, problem.count])
      nearest = Math.min(nearest, problem.travel[from * width + index]);
    const stocks = sides.map((side) => stockLeft(problem, index, side));
    const rested = Math.max(...stocks);
    const part = Math.max(...sides.map((side, at) => problem.share[2 * index + side] * stocks[at]));
    const worth = problem.value[index] * part * (1 - Math.exp(-FALLBACK_STAY / problem.rest.theta));
    const seconds = nearest + problem.rest.setUp + FALLBACK_STAY;
    const rest = rested < 0.995 ? `, ${Math.round(rested * 100)} % rested` : '';
    const figures = `would give about ${(worth / priorityWeight(spot)).toFixed(1)} fish in ${Math.round(seconds / 60)} min with the run${rest}`;
    const reason = weakerWhy(worth / seconds, priorityWeight(spot), weakest);
    return [{ name: spot.name, why: `${figures}; ${reason}` }];
  });
}

/** Stock of a side when the plan starts, after what was logged today. */
function stockLeft({ taken, start, rest }: DayProblem, spot: number, side: number): number {
  if (taken === undefined || taken.visits[spot] === 0) return 1;
  const kept = Math.exp(-Math.max(0, start - taken.since[spot]) / rest.rho);
  const gone = taken.share[2 * spot + side] + rest.kappa * taken.share[2 * spot + 1 - side];
  return Math.max(0, 1 - kept * gone);
}

/** A stop that gives least for its time with run and wait. */
interface WeakestStop {
  /** Fish per s times the weight of its priority, and that weight. */
  readonly rate: number;
  readonly weight: number;
  readonly text: string;
}

/** Why a spot of a weighted rate was not chosen. */
function weakerWhy(rate: number, weight: number, weakest: WeakestStop | undefined): string {
  if (weakest === undefined || rate >= weakest.rate)
    return 'there is no time left for it beside the stops kept';
  // As many fish or nearly so, but less important to the person.
  const isByPriority = rate / weight > 0.95 * (weakest.rate / weakest.weight) && weight < weakest.weight;
  return `the weakest stop kept gives ${weakest.text}${isByPriority ? ' and has more priority' : ''}`;
}

/** Undefined when there is no stop. */
function weakestStop(walk: Walk, spots: Story['spots']): WeakestStop | undefined {
  let weakest: WeakestStop | undefined;
  for (let at = 1; at <= walk.depth; at++) {
    const worth = walk.value[at] - walk.value[at - 1];
    const seconds = walk.departure[at] - walk.departure[at - 1];
    const rate = worth / seconds;
    if (weakest !== undefined && rate >= weakest.rate) continue;
    const spot = spots[walk.node[at]];
    const weight = priorityWeight(spot);
    const text = `${(worth / weight).toFixed(1)} in ${Math.round(seconds / 60)} min (${spot.name})`;
    weakest = { rate, weight, text };
  }
  return weakest;
}
