import type { Soundings } from '../contract/soundings.ts';
import { stepsOf } from './steps.ts';

/** Where one pass ends and the next begins. */
export interface PassRules {
  /** Longest step between two soundings of a pass, m. */
  readonly gap: number;
  /** Longest time between two soundings of a pass, s. */
  readonly pause: number;
  /** Turn against the course so far that begins a new pass, deg. */
  readonly turn: number;
}

/** Course is taken over steps of this length, m: long beside the jitter of positions. */
const COURSE_STEP = 5;
/** Meters over which the course so far is remembered. */
const COURSE_MEMORY = 30;

/**
 * Pass number of each row, from 0: a new pass begins at a gap, a pause, a time that goes back, where the boat turns
 * round, and where the log itself begins one (a new track segment).
 *
 * Turning is judged on steps of 5 m against the course of the last 30 m, so jitter at rest and wide curves do not
 * part a pass.
 */
export function splitPasses(
  log: Pick<Soundings, 'count' | 'lat' | 'lon' | 'time' | 'pass'>,
  rules: PassRules,
): Int32Array {
  const { count, time } = log;
  const { east, north } = stepsOf(log);
  const pass = new Int32Array(count);
  const leastCosine = Math.cos((rules.turn * Math.PI) / 180);
  let current = 0;
  // Course so far (a vector that forgets), and the way made since the last course step.
  let courseEast = 0;
  let courseNorth = 0;
  let wayEast = 0;
  let wayNorth = 0;
  let stepStart = 0;
  for (let i = 1; i < count; i++) {
    const step = Math.sqrt(east[i] * east[i] + north[i] * north[i]);
    const pause = time[i] - time[i - 1];
    if (step > rules.gap || pause > rules.pause || pause < 0 || log.pass[i] !== log.pass[i - 1]) {
      current++;
      courseEast = courseNorth = wayEast = wayNorth = 0;
      stepStart = i;
      pass[i] = current;
      continue;
    }
    pass[i] = current;
    wayEast += east[i];
    wayNorth += north[i];
    const way = Math.sqrt(wayEast * wayEast + wayNorth * wayNorth);
    if (way < COURSE_STEP) continue;
    const course = Math.sqrt(courseEast * courseEast + courseNorth * courseNorth);
    const cosine = course === 0 ? 1 : (wayEast * courseEast + wayNorth * courseNorth) / (way * course);
    if (cosine < leastCosine) {
      current++;
      pass.fill(current, stepStart + 1, i + 1);
      courseEast = wayEast;
      courseNorth = wayNorth;
    } else {
      const keep = Math.exp(-way / COURSE_MEMORY);
      courseEast = courseEast * keep + wayEast;
      courseNorth = courseNorth * keep + wayNorth;
    }
    wayEast = wayNorth = 0;
    stepStart = i;
  }
  return pass;
}
