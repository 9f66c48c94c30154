import type { Soundings } from '../contract/index.ts';
import { stepsOf } from './steps.ts';

/** Where one pass ends and the next begins. */
export interface PassRules {
  /** Longest step between two soundings of a pass, m. */
  readonly gap: number;
  /** Longest time between two soundings of a pass, s. */
  readonly pause: number;
  /** Turn away from the course so far that begins a new pass, deg. */
  readonly turn: number;
}

/** Course is measured over steps of this length, m; long compared with the jitter of positions. */
const COURSE_STEP = 5;
/** Distance over which earlier steps fade from the course so far (decay length), m. */
const COURSE_MEMORY = 30;

/**
 * Pass number of each row, from 0: a new pass begins at a gap, a pause, a time that goes backward, a turn of
 * the boat, and wherever the log itself begins one (a new track segment).
 *
 * Turns are judged on steps of 5 m against the course of the last 30 m, so neither jitter at rest nor a wide
 * curve splits a pass.
 */
export function splitPasses(
  log: Pick<Soundings, 'count' | 'lat' | 'lon' | 'time' | 'pass'>,
  { gap, pause: longest, turn }: PassRules,
): Int32Array {
  const { count, time, pass: segment } = log;
  const { east, north } = stepsOf(log);
  const pass = new Int32Array(count);
  const course: Course = { east: 0, north: 0, leastCosine: Math.cos((turn * Math.PI) / 180) };
  let current = 0;
  // Displacement since the last course step, which ended at row `stepStart`.
  let wayEast = 0;
  let wayNorth = 0;
  let stepStart = 0;
  for (let i = 1; i < count; i++) {
    const step = Math.sqrt(east[i] * east[i] + north[i] * north[i]);
    const pause = time[i] - time[i - 1];
    if (step > gap || pause > longest || pause < 0 || segment[i] !== segment[i - 1]) {
      pass[i] = ++current;
      course.east = course.north = wayEast = wayNorth = 0;
      stepStart = i;
      continue;
    }
    pass[i] = current;
    wayEast += east[i];
    wayNorth += north[i];
    const way = Math.sqrt(wayEast * wayEast + wayNorth * wayNorth);
    if (way < COURSE_STEP) continue;
    if (takeCourseStep(course, wayEast, wayNorth, way)) pass.fill(++current, stepStart + 1, i + 1);
    wayEast = wayNorth = 0;
    stepStart = i;
  }
  return pass;
}

/** Course so far: sum of the steps with exponential decay. */
interface Course {
  east: number;
  north: number;
  readonly leastCosine: number;
}

/**
 * Adds a step of 5 m to the course so far. Returns true at a turn, where the course starts over with this
 * step.
 */
function takeCourseStep(course: Course, wayEast: number, wayNorth: number, way: number): boolean {
  const { east, north, leastCosine } = course;
  const length = Math.sqrt(east * east + north * north);
  const cosine = length === 0 ? 1 : (wayEast * east + wayNorth * north) / (way * length);
  const isTurn = cosine < leastCosine;
  const keep = isTurn ? 0 : Math.exp(-way / COURSE_MEMORY);
  course.east = isTurn ? wayEast : east * keep + wayEast;
  course.north = isTurn ? wayNorth : north * keep + wayNorth;
  return isTurn;
}
