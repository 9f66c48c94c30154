import { least } from 'd3-array';
import { uniqBy } from 'es-toolkit/array';
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
  /** Value of one fish in the plan, by spot. */
  readonly factors: Float64Array;
  readonly stops: readonly Stop[];
  /** The scorer after all `stops`. */
  readonly scorer: Scorer;
}

/** Adds times, runs, fallbacks and reasons to the order found. */
export function explainStops(
  { stops: found }: FoundPlan,
  factors: Float64Array,
  given: Omit<Story, 'factors' | 'stops' | 'scorer'>,
): DayPlan {
  const { day, options, runs, spots } = given;
  const problem = { ...given.problem, value: given.problem.value.map((fish, at) => fish * factors[at]) };
  const { scorer, order } = scoreOrder(problem, found);
  const story: Story = { ...given, problem, factors, stops: found, scorer };
  const promises = promisesOf(found, given, options.giveUp);
  const latest = scorer.latestArrivals(order);
  const stops = promises.map((promise, at) => explainStop(at, latest[at + 1], promise, story));
  const home = runs.run(found.at(-1)?.spot ?? spots.length, spots.length + 1);
  const boats = [day.from, ...stops.map(({ side }) => side), day.end];
  const slack = stops.length === 0 ? 0 : options.slack;
  const { start, checkIn, latestBack, ramp, from, end, speed } = day;
  return {
    ...{ date: options.date, start, checkIn, latestBack },
    back: (scorer.depart[stops.length - 1] ?? start) + slack + home.seconds,
    ...{ ramp, from, end },
    stops: stops.map((stop, at) => ({ ...stop, run: runs.between(stop.run, boats[at], boats[at + 1]) })),
    home: runs.between(home, boats[stops.length], end),
    outlook: outlookOf(promises, bagRules(story, options), story.uncertainty),
    limit: options.limit,
    spots: story.allSpots.length,
    marks: story.marks,
    leftOut: [...story.leftOut, ...notChosen(story)],
    pattern: patternLines(story.allSpots, story.logged, options.date),
    overDays: story.overDays,
    logged: story.logged.length,
    hasWater: story.hasWater,
    speed,
  };
}

/** @param latest Latest arrival at the next stop or, after the last stop, at the finish, s of the day. */
function explainStop(at: number, latest: number, promise: StopPromise, story: Story): PlannedStop {
  const { problem, spots, chances, runs, options, weights, stops, scorer } = story;
  const stop = stops[at];
  const spot = spots[stop.spot];
  const side = spot.sides.find((candidate) => candidate.side === stop.side)!;
  const from = stops[at - 1]?.spot ?? spots.length;
  const next = stops[at + 1]?.spot ?? problem.count + 1;
  const [arrive, begin, leave, stock] = [
    scorer.arrive[at],
    scorer.begin[at],
    scorer.depart[at],
    scorer.stock[at],
  ];
  const stay = problem.stays[stop.stay];
  const slack = next === stop.spot ? 0 : options.slack;
  const travel = problem.travel[stop.spot * scorer.width + next] - slack;
  const earlier = stops.slice(0, at).filter((other) => other.spot === stop.spot).length;
  const visit = 1 + earlier + (problem.taken?.visits[stop.spot] ?? 0);
  const bonus = visit === 1 ? (problem.bonus?.[stop.spot] ?? 0) : 0;
  const opens = problem.open[stop.spot] >= begin - 1 ? 'opening' : 'rest';
  return {
    ...{ spot, side, visit, arrive, begin, leave },
    latestLeave: Math.max(leave, Math.min(latest - travel, problem.close[stop.spot])),
    stay,
    giveUp: giveUpAfter(stay, options.giveUp),
    waitsFor: begin > arrive + 1 ? opens : undefined,
    restUntil: leave + problem.rest.gap,
    run: from === stop.spot ? shiftRun(spot) : runs.run(from, stop.spot),
    fish: promise.chance * promise.fish,
    worth: scorer.worth[at] - bonus,
    stock,
    chance: chances[stop.spot],
    chanceOfFish: promise.chance * (1 - noFish(promise.fish)),
    weight: weights[stop.spot],
    why: whyStop(spot, side, chances[stop.spot], stock),
    fallbacks: fallbacksAt(at, story),
  };
}

/** Returns the move from one side of a spot to the other, around the fish by trolling motor. */
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

/** Stay assumed for spots not chosen and, where time allows, for fallbacks, s of fishing. */
const FALLBACK_STAY = 1200;
const MAX_FALLBACKS = 2;

/**
 * Finds up to two places to go when a stop is given up, best value per time first. Spots of the next two
 * stops are left out. Spots of later stops come last, because fishing a spot early takes from its later stop.
 */
function fallbacksAt(at: number, story: Story): Fallback[] {
  const { problem, spots, options, chances, factors, stops, scorer: whole } = story;
  const here = stops[at].spot;
  const { scorer } = scoreOrder(problem, stops.slice(0, at + 1));
  const giveUp = giveUpAfter(problem.stays[stops[at].stay], options.giveUp);
  const givenUp = scorer.begin[at] + problem.rest.setUp + giveUp;
  const now = Math.min(scorer.depart[at], givenUp);
  /** Returns when the next planned stop at a spot begins, s of the day; undefined if none is planned. */
  const plannedFor = (index: number): number | undefined =>
    whole.begin[stops.findIndex(({ spot }, later) => later > at && spot === index)];
  const coming = stops.slice(at + 1, at + 3).map(({ spot }) => spot);
  const found = spots.flatMap((spot, index) => {
    if (index === here || coming.includes(index)) return [];
    const seconds = problem.travel[here * scorer.width + index];
    const begin = now + seconds;
    const home = problem.travel[index * scorer.width + problem.count + 1];
    const last = Math.min(problem.close[index], problem.finish - home) - begin - problem.rest.setUp;
    const stay = last >= FALLBACK_STAY ? FALLBACK_STAY : problem.stays[0];
    if (stay > last || begin < problem.open[index]) return [];
    return spot.sides.flatMap((side) => {
      const sideIndex = 2 * index + side.side;
      if (scorer.school.left[sideIndex] + problem.rest.gap > begin) return [];
      const worth = worthOf(scorer, sideIndex, begin, stay);
      const chance = chances[index];
      const fish = chance === 0 ? 0 : worth / (factors[index] * chance || 1);
      const rate = worth / (begin + problem.rest.setUp + stay - now);
      const place = {
        spot,
        side,
        seconds: seconds - options.slack,
        chanceOfFish: chance * (1 - noFish(fish)),
      };
      return [{ place: { ...place, plannedFor: plannedFor(index) }, rate, index }];
    });
  });
  const isLater = ({ place }: (typeof found)[number]): number => (place.plannedFor === undefined ? 0 : 1);
  found.sort((a, b) => isLater(a) - isLater(b) || b.rate - a.rate || a.index - b.index);
  return uniqBy(found, ({ index }) => index)
    .slice(0, MAX_FALLBACKS)
    .map(({ place }) => place);
}

/** Returns the value of fishing a side for `stay` seconds, without the factor of the time of day. */
function worthOf({ problem, school }: Scorer, sideIndex: number, begin: number, stay: number): number {
  const yields = 1 - Math.exp(-stay / problem.rest.theta);
  return problem.value[sideIndex >> 1] * problem.share[sideIndex] * school.at(sideIndex, begin) * yields;
}

function notChosen(story: Story): LeftOut[] {
  const used = new Set(story.stops.map(({ spot }) => spot));
  const weakest = weakestStop(story);
  const alone = new Scorer(story.problem);
  return story.spots.flatMap((spot, index) =>
    used.has(index) ? [] : [{ name: spot.name, why: whyNotChosen(index, used, weakest, alone, story) }],
  );
}

function whyNotChosen(
  index: number,
  used: ReadonlySet<number>,
  weakest: ReturnType<typeof weakestStop>,
  alone: Scorer,
  { problem, spots, chances, options }: Story,
): string {
  const from = (node: number): number => problem.travel[node * alone.width + index];
  if (from(problem.count) === Infinity) return 'no way there by water inside your shoreline';
  if (isBeyondFuel(problem, index)) return 'farther there and back than the fuel range';
  const { sides: all, note } = spots[index];
  const hasHours = note.open !== undefined || note.close !== undefined;
  const sides = all.map(({ side }) => side);
  const stops = sides.map((side) => alone.pack({ spot: index, side, stay: 0 }));
  if (stops.every((stop) => alone.score([stop]).value === -Infinity))
    return `no stop there fits before the check-in${hasHours ? ' and within its hours' : ''}`;
  alone.reset();
  const nearest = Math.min(...[...used, problem.count].map(from));
  const nearestRun = Math.min(from(problem.count), ...[...used].map((spot) => from(spot) - options.slack));
  const worths = sides.map((side) => worthOf(alone, 2 * index + side, problem.start, FALLBACK_STAY));
  const rate = Math.max(...worths) / (nearest + problem.rest.setUp + FALLBACK_STAY);
  const figures = `a chance of ${Math.round(chances[index] * 100)} %, ${Math.round(nearestRun / 60)} min from the nearest stop or the start`;
  if (weakest === undefined || rate >= weakest.rate)
    return `${figures}; no time left for it after the stops kept`;
  const share = Math.round((100 * rate) / weakest.rate);
  return `${figures}; for its time, worth ${share} % of the weakest stop kept (${weakest.name})`;
}

/**
 * Finds the stop with the lowest value per time, run and wait included.
 *
 * @returns `rate`, value per s without bonus, and `name` of the spot; undefined without stops.
 */
const weakestStop = ({ problem, spots, stops, scorer }: Story) =>
  least(
    stops.map(({ spot }, at) => {
      const bonus = problem.bonus?.[spot] ?? 0;
      const worth = scorer.worth[at];
      const seconds = scorer.depart[at] - (at === 0 ? problem.start : scorer.depart[at - 1]);
      return { rate: (worth >= bonus ? worth - bonus : worth) / seconds, name: spots[spot].name };
    }),
    ({ rate }) => rate,
  );
