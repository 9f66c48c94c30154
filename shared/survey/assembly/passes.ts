import { exp } from './mathematics';
import { PASSES, passOf } from './memory';
import { beginSteps, east, north, pause, stepTo } from './steps';

const COURSE_STEP: f64 = 5;
const COURSE_MEMORY: f64 = 30;

let next: i32 = 0;
let current: i32 = 0;
let segment: i32 = 0;
let courseEast: f64 = 0;
let courseNorth: f64 = 0;
let wayEast: f64 = 0;
let wayNorth: f64 = 0;
/** Row at which the last course step ended. */
let stepStart: i32 = 0;

/** Row of an earlier call from which on, up to this one, the rows belong to pass `earlierPass`; -1 for none. */
export let earlierFrom: i32 = -1;
export let earlierPass: i32 = 0;

export function beginPasses(): void {
  beginSteps();
  next = current = stepStart = 0;
  courseEast = courseNorth = wayEast = wayNorth = 0;
}

/** See `splitPasses`; the numbers of the passes take the place of those of the segments. */
export function splitPasses(rows: i32, gap: f64, longest: f64, leastCosine: f64): void {
  const first = next;
  earlierFrom = -1;
  for (let row: usize = 0; row < <usize>rows; row++) {
    stepTo(row);
    const own = passOf(row);
    const i = next++;
    if (i > 0) {
      const step = Math.sqrt(east * east + north * north);
      if (step > gap || pause > longest || pause < 0 || own !== segment) {
        current++;
        courseEast = courseNorth = wayEast = wayNorth = 0;
        stepStart = i;
      } else {
        wayEast += east;
        wayNorth += north;
        const way = Math.sqrt(wayEast * wayEast + wayNorth * wayNorth);
        if (!(way < COURSE_STEP)) {
          if (takeCourseStep(way, leastCosine)) beginPassAfter(stepStart, i, first);
          wayEast = wayNorth = 0;
          stepStart = i;
        }
      }
    }
    segment = own;
    store<i32>(PASSES + (row << 2), current);
  }
}

/** A new pass from the row after the last course step on: of this call, and perhaps of earlier ones. */
function beginPassAfter(step: i32, to: i32, first: i32): void {
  current++;
  if (step + 1 < first) {
    earlierFrom = step + 1;
    earlierPass = current;
  }
  for (let i = step + 1 > first ? step + 1 : first; i < to; i++)
    store<i32>(PASSES + ((<usize>(i - first)) << 2), current);
}

function takeCourseStep(way: f64, leastCosine: f64): bool {
  const course = Math.sqrt(courseEast * courseEast + courseNorth * courseNorth);
  const cosine = course === 0 ? 1 : (wayEast * courseEast + wayNorth * courseNorth) / (way * course);
  const isTurn = cosine < leastCosine;
  const keep = isTurn ? 0 : exp(-way / COURSE_MEMORY);
  courseEast = isTurn ? wayEast : courseEast * keep + wayEast;
  courseNorth = isTurn ? wayNorth : courseNorth * keep + wayNorth;
  return isTurn;
}
