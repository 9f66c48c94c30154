import type { Soundings } from '../contract/index.ts';
import { createScale, type Scale, STRETCH, scaleAt, shortTurn } from './steps.ts';

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
export function splitPasses(log: PassColumns, rules: PassRules): Int32Array {
  const pass = new Int32Array(log.count);
  const state: PassState = {
    current: 0,
    courseEast: 0,
    courseNorth: 0,
    wayEast: 0,
    wayNorth: 0,
    stepStart: 0,
    scale: createScale(),
    leastCosine: Math.cos((rules.turn * Math.PI) / 180),
  };
  for (let from = 1; from < log.count; from += STRETCH)
    splitStretch(log, rules, state, pass, from, Math.min(from + STRETCH, log.count));
  return pass;
}

type PassColumns = Pick<Soundings, 'count' | 'lat' | 'lon' | 'time' | 'pass'>;

interface PassState {
  current: number;
  /** Course so far: sum of the steps with exponential decay. */
  courseEast: number;
  courseNorth: number;
  /** Displacement since the last course step, which ended at row `stepStart`. */
  wayEast: number;
  wayNorth: number;
  stepStart: number;
  readonly scale: Scale;
  readonly leastCosine: number;
}

function splitStretch(
  { lat, lon, time, pass: segment }: PassColumns,
  { gap, pause: longest }: PassRules,
  state: PassState,
  pass: Int32Array,
  from: number,
  to: number,
): void {
  const { scale } = state;
  let { wayEast, wayNorth, current } = state;
  for (let i = from; i < to; i++) {
    scaleAt(scale, lat[i]);
    const east = shortTurn(lon[i] - lon[i - 1]) * scale.perLon;
    const north = (lat[i] - lat[i - 1]) * scale.perLat;
    const step = Math.sqrt(east * east + north * north);
    const pause = time[i] - time[i - 1];
    if (step > gap || pause > longest || pause < 0 || segment[i] !== segment[i - 1]) {
      pass[i] = ++current;
      state.courseEast = state.courseNorth = wayEast = wayNorth = 0;
      state.stepStart = i;
      continue;
    }
    pass[i] = current;
    wayEast += east;
    wayNorth += north;
    const way = Math.sqrt(wayEast * wayEast + wayNorth * wayNorth);
    if (way < COURSE_STEP) continue;
    if (takeCourseStep(state, wayEast, wayNorth, way)) pass.fill(++current, state.stepStart + 1, i + 1);
    wayEast = wayNorth = 0;
    state.stepStart = i;
  }
  state.wayEast = wayEast;
  state.wayNorth = wayNorth;
  state.current = current;
}

/**
 * Adds a step of 5 m to the course so far. Returns true at a turn, where the course starts over with this
 * step.
 */
function takeCourseStep(state: PassState, wayEast: number, wayNorth: number, way: number): boolean {
  const { courseEast, courseNorth, leastCosine } = state;
  const course = Math.sqrt(courseEast * courseEast + courseNorth * courseNorth);
  const cosine = course === 0 ? 1 : (wayEast * courseEast + wayNorth * courseNorth) / (way * course);
  const isTurn = cosine < leastCosine;
  const keep = isTurn ? 0 : Math.exp(-way / COURSE_MEMORY);
  state.courseEast = isTurn ? wayEast : courseEast * keep + wayEast;
  state.courseNorth = isTurn ? wayNorth : courseNorth * keep + wayNorth;
  return isTurn;
}
