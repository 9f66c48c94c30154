import type { DayProblem } from '../../shared/day/problem.ts';
import { REST_MODEL } from '../../shared/day/stock.ts';
import { seededRandom } from '../../shared/math/statistics.ts';

export interface InstanceShape {
  readonly count: number;
  readonly seed: number;
  /** Length of the day, s. */
  readonly day: number;
  readonly stays?: readonly number[];
  readonly maxVisits?: number;
  /** Half the width of the lake as running time, s. */
  readonly reach?: number;
  /** Chance that a spot opens late, and that one of the remaining spots closes early. */
  readonly windows?: number;
}

/**
 * Makes a random day: spots all over a square lake, worth 0.5 to 10.5 each, with a poorer or useless second
 * side.
 */
export function inventedDay(shape: InstanceShape): DayProblem {
  const random = seededRandom(shape.seed * 7919 + shape.count);
  const { count } = shape;
  const start = 6.5 * 3600;
  const reach = shape.reach ?? 300;
  const places = Array.from({ length: count + 1 }, () => [
    (2 * random() - 1) * reach,
    (2 * random() - 1) * reach,
  ]);
  const width = count + 2;
  const travel = new Float64Array(width * width);
  for (let from = 0; from < width; from++) {
    for (let to = 0; to < width; to++) {
      const [a, b] = [places[Math.min(from, count)], places[Math.min(to, count)]];
      travel[from * width + to] = from === to ? 0 : 120 + Math.hypot(a[0] - b[0], a[1] - b[1]);
    }
  }
  const value = new Float64Array(count);
  const share = new Float64Array(2 * count);
  const open = new Float64Array(count).fill(-Infinity);
  const close = new Float64Array(count).fill(Infinity);
  for (let spot = 0; spot < count; spot++) {
    value[spot] = 0.5 + 10 * random() ** 2;
    share[2 * spot] = 1;
    share[2 * spot + 1] = random() < 0.1 ? 0 : 0.5 + 0.4 * random();
    if (random() < (shape.windows ?? 0.15)) open[spot] = start + shape.day * (0.2 + 0.5 * random());
    if (open[spot] === -Infinity && random() < (shape.windows ?? 0.15))
      close[spot] = start + shape.day * (0.3 + 0.6 * random());
  }
  return {
    count,
    value,
    share,
    open,
    close,
    travel,
    start,
    finish: start + shape.day,
    stays: shape.stays ?? [720, 1200, 1800, 2400],
    rest: REST_MODEL,
    maxVisits: shape.maxVisits ?? 3,
  };
}

/** Running speed, m/s. */
const RUN_SPEED = 20.1;
/** Length of a run per m of straight line. */
const DETOUR = 1.15;
/** Side of the lake, m. */
const LAKE = 9000;
/** Standard deviation of the places in a group, east and north, m. */
const GROUP = 500;

/**
 * Makes a random day of 7.5 h with spots in groups, as structure is distributed. The value of a spot is 8pw,
 * with the chance p of fish and the weight w of its priority (1, 1.4 or 2). A fifth of the spots open late or
 * close early.
 */
export function groupedDay(count: number, seed: number): DayProblem {
  const random = seededRandom(seed * 104_729 + count);
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const groups = Math.max(3, Math.round(count / 8));
  const middles = Array.from({ length: groups }, () => [random() * LAKE, random() * LAKE]);
  const places = Array.from({ length: count }, () => {
    const [x, y] = middles[Math.floor(random() * groups)];
    return [x + GROUP * normal(), y + GROUP * normal()];
  });
  places.push([random() * LAKE, random() * LAKE]);
  const width = count + 2;
  const travel = new Float64Array(width * width).map((_, at) => {
    const [a, b] = [Math.floor(at / width), at % width].map((node) => places[Math.min(node, count)]);
    if (a === b && Math.floor(at / width) === at % width) return 0;
    return 120 + (Math.hypot(a[0] - b[0], a[1] - b[1]) * DETOUR) / RUN_SPEED;
  });
  const start = 6.5 * 3600;
  const value = new Float64Array(count);
  const share = new Float64Array(2 * count);
  const open = new Float64Array(count).fill(-Infinity);
  const close = new Float64Array(count).fill(Infinity);
  for (let spot = 0; spot < count; spot++) {
    const chance = 0.05 + 0.85 * random() * Math.sqrt(random());
    const rank = random();
    value[spot] = 8 * chance * (rank < 0.7 ? 1 : rank < 0.9 ? 1.4 : 2);
    share[2 * spot] = 1;
    share[2 * spot + 1] = random() < 0.12 ? 0 : 0.5 + 0.4 * random();
    const hours = random();
    if (hours < 0.1) open[spot] = start + 9000 + 3600 * Math.floor(3 * random());
    else if (hours < 0.2) close[spot] = start + 10_800 + 3600 * Math.floor(3 * random());
  }
  const finish = start + 27_000;
  const stays = [720, 1200, 1800, 2400];
  return { count, value, share, open, close, travel, start, finish, stays, rest: REST_MODEL, maxVisits: 3 };
}
