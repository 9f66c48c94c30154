import { bagRules, giveUpAfter, promisesOf } from './bag.ts';
import type { Day } from './day.ts';
import { noFish } from './learning.ts';
import type { DayPlanOptions } from './options.ts';
import { outlookOf, type StopPromise } from './outlook.ts';
import { patternLines } from './pattern.ts';
import type { DayPlan, Fallback, PlannedStop } from './plan.ts';
import { isBeyondFuel, type Stop } from './problem.ts';
import type { Run } from './run-parts.ts';
import { Scorer, scoreOrder } from './scorer.ts';
import type { FoundPlan } from './search.ts';
import { type Setup, shiftSeconds } from './set-up.ts';
import type { FishingSpot, LeftOut, SpotSide } from './spots.ts';

interface Story extends Setup {
  readonly day: Day;
  readonly options: DayPlanOptions;
  /** By spot, the factor for what a fish counts in the value of the plan. */
  readonly factors: Float64Array;
}

/** The order found, with its times, runs, fallbacks and reasons. @param factors By spot, what a fish counts. */
export function explainStops(
  found: FoundPlan,
  factors: Float64Array,
  given: Omit<Story, 'factors'>,
): DayPlan {
  const problem = { ...given.problem, value: given.problem.value.map((fish, at) => fish * factors[at]) };
  const story: Story = { ...given, problem, factors };
  const { day, options, runs, spots } = story;
  const promises = promisesOf(found.stops, given, options.giveUp);
  const others = found.stops.map((_, at) => othersAt(found.stops, at, story));
  const { scorer, order } = scoreOrder(problem, found.stops);
  const latest = scorer.latestArrivals(order);
  const stops = found.stops.map((stop, at): PlannedStop => {
    const visit = found.stops.slice(0, at + 1).filter(({ spot }) => spot === stop.spot).length;
    const fallbacks = others[at].map(({ index, rate: _, ...other }): Fallback => {
      // The time at which the plan fishes the place later, if it does.
      const next = found.stops.findIndex(({ spot }, later) => later > at && spot === index);
      return { ...other, plannedFor: next < 0 ? undefined : scorer.begin[next] };
    });
    return explainStop(found.stops, at, visit, scorer, latest, promises[at], fallbacks, story);
  });
  const last = found.stops.at(-1)?.spot ?? spots.length;
  const home = runs.run(last, spots.length + 1);
  const boats = [day.from, ...stops.map(({ side }) => side), day.end];
  const slack = stops.length === 0 ? 0 : options.slack;
  return {
    date: options.date,
    start: day.start,
    checkIn: day.checkIn,
    latestBack: day.latestBack,
    back: (scorer.depart[stops.length - 1] ?? day.start) + slack + home.seconds,
    ramp: day.ramp,
    from: day.from,
    end: day.end,
    stops: stops.map((stop, at) => ({ ...stop, run: runs.between(stop.run, boats[at], boats[at + 1]) })),
    home: runs.between(home, boats[stops.length], day.end),
    outlook: outlookOf(promises, bagRules(story, options), story.uncertainty),
    limit: options.limit,
    spots: story.allSpots.length,
    marks: story.marks,
    leftOut: [...story.leftOut, ...notChosen(found.stops, scorer, story)],
    pattern: patternLines(story.allSpots, story.logged, options.date),
    overDays: story.overDays,
    logged: story.logged.length,
    hasWater: story.hasWater,
    speed: day.speed,
  };
}

function explainStop(
  stops: readonly Stop[],
  at: number,
  visit: number,
  { arrive: arrivals, begin: begins, depart, stock, worth }: Scorer,
  latest: readonly number[],
  promise: StopPromise,
  fallbacks: readonly Fallback[],
  { problem, spots, chances, runs, options, weights }: Story,
): PlannedStop {
  const stop = stops[at];
  const spot = spots[stop.spot];
  const side = spot.sides.find((candidate) => candidate.side === stop.side)!;
  const from = stops[at - 1]?.spot ?? spots.length;
  const run = from === stop.spot ? shiftRun(spot) : runs.run(from, stop.spot);
  const next = stops[at + 1]?.spot ?? problem.count + 1;
  const arrive = arrivals[at];
  const begin = begins[at];
  const isWaiting = begin > arrive + 1;
  const leave = depart[at];
  const stay = problem.stays[stop.stay];
  const slack = next === stop.spot ? 0 : options.slack;
  const travel = problem.travel[stop.spot * (problem.count + 2) + next] - slack;
  const isFirst = visit === 1 && (problem.taken?.visits[stop.spot] ?? 0) === 0;
  const bonus = isFirst ? (problem.bonus?.[stop.spot] ?? 0) : 0;
  return {
    spot,
    side,
    visit: visit + (problem.taken?.visits[stop.spot] ?? 0),
    arrive,
    begin,
    leave,
    latestLeave: Math.max(leave, Math.min(latest[at + 1] - travel, problem.close[stop.spot])),
    stay,
    giveUp: giveUpAfter(stay, options.giveUp),
    waitsFor: isWaiting ? (problem.open[stop.spot] >= begin - 1 ? 'opening' : 'rest') : undefined,
    restUntil: leave + problem.rest.gap,
    run,
    fish: promise.chance * promise.fish,
    worth: worth[at] - bonus,
    stock: stock[at],
    chance: chances[stop.spot],
    chanceOfFish: promise.chance * (1 - noFish(promise.fish)),
    weight: weights[stop.spot],
    why: whyStop(spot, side, chances[stop.spot], stock[at]),
    fallbacks,
  };
}

/** The move around the fish from one side of a spot to the other, under the trolling motor. */
function shiftRun(spot: FishingSpot): Run {
  const seconds = shiftSeconds(spot);
  return { seconds, sd: seconds / 4, distance: 0, over: 'known', parts: [] };
}

function whyStop(
  { note, sides, structure }: FishingSpot,
  side: SpotSide,
  chance: number,
  stock: number,
): string {
  const wishes = { must: 'you want it', first: 'you want it first', last: 'you want it last', skip: '' };
  const parts = [
    ...(note.wish === undefined ? [] : [wishes[note.wish]]),
    `${Math.round(chance * 100)} % chance that fish bite there`,
    ...(note.priority === undefined || note.priority === 1 ? [] : [`priority ${note.priority}`]),
    ...(structure === undefined ? [] : [structure]),
  ];
  if (side === sides[0] && side.side === 1 && sides.length > 1)
    parts.push('shallow side first: more than twice as much bottom contact among the fish');
  else if (side.share < 0.995)
    parts.push(`this side is worth ${Math.round(side.share * 100)} % of the other`);
  parts.push(stock > 0.995 ? 'rested' : `${Math.round(stock * 100)} % rested`);
  return parts.join(', ');
}

/** An alternative place, before the rest of the plan is known. */
interface Other extends Omit<Fallback, 'plannedFor'> {
  readonly index: number;
  readonly rate: number;
}

/** Time used to judge a fallback where there is room for it, s of fishing; otherwise the shortest stay is used. */
const FALLBACK_STAY = 1200;
const FALLBACKS = 2;

/**
 * The best alternative places after the current stop is given up, by fish per time. Places with no further visit in the
 * plan come first, because fishing a later stop early takes from that stop. Later stops follow, except the next two.
 */
function othersAt(
  stops: readonly Stop[],
  at: number,
  { problem, spots, options, chances, factors }: Story,
): Other[] {
  const here = stops[at].spot;
  const { scorer } = scoreOrder(problem, stops.slice(0, at + 1));
  const givenUp = scorer.begin[at] + problem.rest.setUp + options.giveUp;
  const now = Math.min(scorer.depart[at], givenUp);
  const later = stops.slice(at + 1).map(({ spot }) => spot);
  const coming = later.slice(0, 2);
  const width = problem.count + 2;
  const found = spots.flatMap((spot, index): Other[] => {
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
      const sideIndex = 2 * index + side.side;
      if (scorer.school.left[sideIndex] + problem.rest.gap > begin) return [];
      const stock = scorer.school.at(sideIndex, begin);
      const worth = problem.value[index] * problem.share[sideIndex] * stock * yields;
      const chance = chances[index];
      const fish = chance === 0 ? 0 : worth / (factors[index] * chance || 1);
      const rate = worth / (leave - now);
      return [{ spot, side, seconds, chanceOfFish: chance * (1 - noFish(fish)), rate, index }];
    });
  });
  const isLater = ({ index }: { index: number }): number => (later.includes(index) ? 1 : 0);
  found.sort((a, b) => isLater(a) - isLater(b) || b.rate - a.rate || a.index - b.index);
  const chosen = found.filter((one, at) => found.findIndex((other) => other.index === one.index) === at);
  return chosen.slice(0, FALLBACKS);
}

/** A reason for each spot that could have been fished but is not in the plan. */
function notChosen(stops: readonly Stop[], scorer: Scorer, story: Story): LeftOut[] {
  const { problem, spots, chances } = story;
  const used = new Set(stops.map(({ spot }) => spot));
  const width = problem.count + 2;
  const weakest = weakestStop(stops, scorer, story);
  const alone = new Scorer(problem);
  return spots.flatMap((spot, index) => {
    if (used.has(index)) return [];
    if (problem.travel[problem.count * width + index] === Infinity)
      return [{ name: spot.name, why: 'no way there by water inside your shoreline' }];
    if (isBeyondFuel(problem, index))
      return [{ name: spot.name, why: 'farther there and back than the fuel range' }];
    const sides = spot.sides.map(({ side }) => side);
    const isPossible = sides.some(
      (side) => alone.score([alone.pack({ spot: index, side, stay: 0 })]).value > -Infinity,
    );
    if (!isPossible)
      return [{ name: spot.name, why: 'a stop there does not fit between start, its hours and check-in' }];
    let nearest = Infinity;
    for (const from of [...used, problem.count])
      nearest = Math.min(nearest, problem.travel[from * width + index]);
    alone.reset();
    const parts = sides.map(
      (side) => problem.share[2 * index + side] * alone.school.at(2 * index + side, problem.start),
    );
    const part = Math.max(...parts);
    const worth = problem.value[index] * part * (1 - Math.exp(-FALLBACK_STAY / problem.rest.theta));
    const rate = worth / (nearest + problem.rest.setUp + FALLBACK_STAY);
    const figures = `a chance of ${Math.round(chances[index] * 100)} %, ${Math.round(nearest / 60)} min from the nearest stop`;
    if (weakest === undefined || rate >= weakest.rate)
      return [{ name: spot.name, why: `${figures}; no time left for it after the stops kept` }];
    const share = Math.round((100 * rate) / weakest.rate);
    const why = `${figures}; for its time, worth ${share} % of the weakest stop kept (${weakest.name})`;
    return [{ name: spot.name, why }];
  });
}

/** The stop with the least value for its time including run and wait; undefined when there is none. */
function weakestStop(
  stops: readonly Stop[],
  scorer: Scorer,
  { problem, spots }: Story,
): { rate: number; name: string } | undefined {
  let weakest: { rate: number; name: string } | undefined;
  for (const [at, { spot }] of stops.entries()) {
    const bonus = problem.bonus?.[spot] ?? 0;
    const worth = scorer.worth[at];
    const seconds = scorer.depart[at] - (at === 0 ? problem.start : scorer.depart[at - 1]);
    const rate = (worth >= bonus ? worth - bonus : worth) / seconds;
    if (weakest === undefined || rate < weakest.rate) weakest = { rate, name: spots[spot].name };
  }
  return weakest;
}
