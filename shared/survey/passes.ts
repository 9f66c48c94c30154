import type { Soundings } from '../contract/index.ts';
import { isInterrupted, stepsOf, type Track } from './steps.ts';

export interface PassRules {
  /** Maximum step between two soundings of a pass, m. */
  readonly gap: number;
  /** Maximum time between consecutive soundings of a pass, s. */
  readonly pause: number;
  /** Maximum angle between a step of a pass and the recent course, deg. */
  readonly turn: number;
}

/** Minimum length of the steps that give the course, m; long compared with the jitter of positions. */
const COURSE_STEP = 5;
/** Distance over which the weight of a step in the recent course falls to 1/e, m. */
const COURSE_MEMORY = 30;

/**
 * Numbers the passes of a log from 0, by row. A new pass begins at a gap, a pause, a time that goes backward,
 * a turn of the boat, or a new track segment of the log.
 *
 * A turn is measured between a step of about 5 m and the course over about the last 30 m, so neither jitter
 * at rest nor a wide curve splits a pass.
 */
export function splitPasses(log: Track & Pick<Soundings, 'pass'>, rules: PassRules): Int32Array {
  const { count, time, pass: segment } = log;
  const { east, north } = stepsOf(log);
  const pass = new Int32Array(count);
  const leastCosine = Math.cos((rules.turn * Math.PI) / 180);
  let current = 0;
  // Recent course: sum of the steps, with exponentially decaying weights.
  let [courseEast, courseNorth] = [0, 0];
  // Displacement since the last course step, which ended at row `stepStart`.
  let wayEast = 0;
  let wayNorth = 0;
  let stepStart = 0;
  for (let i = 1; i < count; i++) {
    const step = Math.sqrt(east[i] * east[i] + north[i] * north[i]);
    if (isInterrupted(step, time[i] - time[i - 1], rules) || segment[i] !== segment[i - 1]) {
      pass[i] = ++current;
      courseEast = courseNorth = wayEast = wayNorth = 0;
      stepStart = i;
      continue;
    }
    pass[i] = current;
    wayEast += east[i];
    wayNorth += north[i];
    const way = Math.sqrt(wayEast * wayEast + wayNorth * wayNorth);
    if (way < COURSE_STEP) continue;
    const length = Math.sqrt(courseEast * courseEast + courseNorth * courseNorth);
    const cosine = length === 0 ? 1 : (wayEast * courseEast + wayNorth * courseNorth) / (way * length);
    const isTurn = cosine < leastCosine;
    if (isTurn) pass.fill(++current, stepStart + 1, i + 1);
    const keep = isTurn ? 0 : Math.exp(-way / COURSE_MEMORY);
    courseEast = courseEast * keep + wayEast;
    courseNorth = courseNorth * keep + wayNorth;
    wayEast = wayNorth = 0;
    stepStart = i;
  }
  return pass;
}
