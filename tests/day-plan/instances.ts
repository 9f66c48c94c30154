import type { DayProblem } from '../../shared/day-plan/problem.ts';
import { REST_MODEL } from '../../shared/day-plan/problem.ts';
import { seededRandom } from '../../shared/day-plan/random.ts';

export interface InstanceShape {
  readonly count: number;
  readonly seed: number;
  /** s. */
  readonly day: number;
  readonly stays?: readonly number[];
  readonly maxVisits?: number;
  /** Half the width of the lake, in s of running. */
  readonly reach?: number;
  /** Share of the spots that open late or close early. */
  readonly windows?: number;
}

/** An invented day: spots spread over a lake, values of a few fish, a second side that is worse. */
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
