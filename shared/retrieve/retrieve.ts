import { type BottomProfile, MAX_POINTS, profileDepth, type RetrievePath } from './path.ts';
import { GRAVITY, type Handling, type Line, type LureDrag, WATER_DENSITY } from './rig.ts';

/** Drag coefficient of line across the flow: a cylinder at Reynolds numbers of 30 to 100. */
const NORMAL_DRAG = 1.4;
/** Drag coefficient of line along the flow, per surface area of the line. */
const TANGENTIAL_DRAG = 0.012;

/** Factor on the tension that corrects for the small angles assumed by this model. */
const TENSION_FACTOR = 1.02;

/** Number of intervals between stations along the line. */
const INTERVALS = 10;
/** Stations as shares of the line from the rod tip, closer toward the lure, where the line bends most. */
const STATION = Float64Array.from({ length: INTERVALS + 1 }, (_, j) => 1 - (1 - j / INTERVALS) ** 1.5);
/** Number of weights of a station. */
const STRIDE = 8;
const WEIGHTS = stationWeights(STATION);
const END_WEIGHTS = endWeights(STATION);

/** Minimum crosswise speed used to linearize the line's drag, as a share of the retrieve's speed. */
const MIN_SPEED = 5e-4;

/** Longest cast accepted, m: with steps of half a meter, its path fits in the arrays. */
export const LONGEST_CAST = 200;

const FIRST_STEP = 0.05;
const STEP_GROWTH = 1.3;
/** Line still out at which the retrieve ends unless the caller says otherwise, m. */
const MIN_LINE = 1;
/** Maximum step as a share of the line still out, so that the last steps stay fine. */
const LARGEST_SHARE = 0.25;
/** Depression of the lure below the rod tip at which the retrieve ends, rad; the model fails above 1.4. */
const STEEPEST = 1.4;

export interface RetrieveSetup {
  /** Line out when the lure lands, m, (1, 200]. */
  readonly cast: number;
  readonly line: Line;
  readonly lure: LureDrag;
  readonly handling: Handling;
}

/** Offset of the line's crosswise speeds in a row of states, which starts with y (see `simulateRetrieve`). */
const SPEED = INTERVALS + 1;
/** Offset of the depression (rad) of the lure below the rod tip. */
const THETA = 2 * SPEED;
/** Offset of the tangent of the angle between line and chord at the lure. */
const DELTA = THETA + 1;
/** Offset of the chord (straight from rod tip to lure), as a share of the length of the line. */
const CHORD = THETA + 2;
/** Offset of the length (m) of the last step. */
const SIZE = THETA + 3;
/** Number of values in a row of states. */
export const STATE = THETA + 4;

export const workspace = () => ({
  /** A row of `STATE` values for each point of the path. */
  states: new Float64Array(MAX_POINTS * STATE),
  upper: new Float64Array(INTERVALS + 1),
  right: new Float64Array(INTERVALS + 1),
});

export type RetrieveWorkspace = ReturnType<typeof workspace>;

/** A retrieve in deep water. Over any bottom, the same retrieve takes this path until the lure touches. */
export interface Flight extends Pick<RetrievePath, 'count' | 'distance' | 'depth' | 'line'> {
  readonly states: Float64Array;
}

/**
 * Computes the path of a diving lure from its landing back to the boat, over a bottom or in deep water.
 *
 * Flexible line is reeled through a fixed rod tip. The line has drag across and along itself, and weight in
 * water. The lure has a drag area and a downward force. The motion is quasi-steady.
 *
 * The unknown is y(s) = s theta(s), where s is the arc length from the rod tip and theta the depression below
 * the rod tip. Each step of line reeled in solves one linear system for line and lure. In this system, the
 * drag of the line, proportional to |v|v at crosswise speed v, is linearized about the last step. On bottom,
 * the lure has the depth of the bottom.
 *
 * In 100 cases of the full flexible-line model (step 0.5), the greatest depth agrees within 0.7 %, the path
 * within 1.5 % of the greatest depth, and first and last touch within 0.5 m rms.
 *
 * @param bottom Absent: deep water. Ground above the water counts as ground at the surface.
 * @param step Maximum step, m of line: 0.5 for a path to show, 1 to 1.5 for lengths and depths.
 * @param path Receives the result; its arrays are reused.
 * @param leastLine Line still out at which the retrieve ends, m, at least 1.
 * @param flight The same retrieve in deep water, computed with the same `step` down to 1 m of line. The path
 * up to the first touch is copied from `flight`.
 */
export function simulateRetrieve(
  setup: RetrieveSetup,
  bottom: BottomProfile | undefined,
  step: number,
  path: RetrievePath,
  work: RetrieveWorkspace,
  leastLine = MIN_LINE,
  flight?: Flight,
): void {
  const { cast, line, lure, handling } = setup;
  const { tipHeight, friction } = handling;
  const lift = lure.liftToDrag;
  const across = NORMAL_DRAG * line.diameter;
  const tensionScale = (TENSION_FACTOR * lure.dragArea) / across;
  const alongScale = (Math.PI * TANGENTIAL_DRAG * line.diameter) / lure.dragArea;
  const weight = weightRatio(line, handling.speed);
  const steady = Math.sqrt(1 + lift * lift);
  const last = INTERVALS;
  const { states, upper, right } = work;

  let count =
    flight === undefined || bottom === undefined
      ? layStraight(cast, tipHeight, path, states)
      : follow(flight, bottom, leastLine, path, states);
  let row = (count - 1) * STATE;
  let length = path.line[count - 1];
  let theta = states[row + THETA];
  let delta = states[row + DELTA];
  let chord = states[row + CHORD];
  let size = states[row + SIZE];
  /** Tension at the lure, as a multiple of the lure's drag at the retrieve's speed. */
  let tension = 0;
  let isTouching = false;

  while (length > leastLine + 1e-9 && theta < STEEPEST && count < path.line.length) {
    size = Math.min(size * STEP_GROWTH, step, length * LARGEST_SHARE, length - leastLine);
    const next = length - size;
    const reel = Math.log(length / next);
    const dive = (lift - delta) / (1 + lift * delta);
    if (!isTouching) tension = steady * (1 + dive * dive);

    const perSize = 1 / size;
    const perNext = 1 / next;
    eliminate(
      work,
      row,
      tension,
      tensionScale * perNext * perNext,
      alongScale * next,
      perSize,
      perNext,
      tipHeight,
      weight,
    );

    // Lure: theta grows by `dive` times `reel`; `dive` is a mean over the step, linear in the next delta.
    const slack = (-0.5 * (1 + lift * lift) * reel) / ((1 + lift * delta) * (1 + lift * delta));
    const e2 = -slack * END_WEIGHTS[0] * perNext;
    const e1 = -slack * END_WEIGHTS[1] * perNext;
    const e0 = -slack * (END_WEIGHTS[2] - 1) * perNext + perNext;
    const known = theta + dive * reel - slack * delta;
    const f1 = e1 - e2 * upper[last - 2];
    const end = (known - e2 * right[last - 2] - f1 * right[last - 1]) / (e0 - f1 * upper[last - 1]);
    let nextTheta = end * perNext;

    const reach = next * chord;
    path.distance[count] = reach * Math.cos(nextTheta);
    path.depth[count] = reach * Math.sin(nextTheta) - tipHeight;
    isTouching = bottom !== undefined && holdUp(bottom, reach, tipHeight, path, count);
    if (isTouching) {
      nextTheta = Math.atan2(path.depth[count] + tipHeight, path.distance[count]);
      // Tangent of the angle between the course of the lure and the chord.
      const climb = (next * (nextTheta - theta)) / size;
      const cosines = 1 / Math.sqrt((1 + delta * delta) * (1 + climb * climb));
      const along = (1 - delta * climb + friction * (delta + climb)) * cosines;
      // With the line at a right angle to the course, the tension has no bound; there the lure lifts off.
      tension = ((1 + climb * climb) * (1 + friction * lift)) / Math.max(along, 0.1);
    }

    row += STATE;
    substitute(work, row, next * nextTheta, perSize, perNext);
    delta =
      (END_WEIGHTS[0] * states[row + last - 2] +
        END_WEIGHTS[1] * states[row + last - 1] +
        (END_WEIGHTS[2] - 1) * states[row + last]) *
      perNext;
    // The bend over the last half interval, at the lure, shortens the chord too.
    chord = states[row + CHORD] - 0.25 * (1 - STATION[last - 1]) * delta * delta;
    length = next;
    theta = nextTheta;
    states[row + THETA] = theta;
    states[row + DELTA] = delta;
    states[row + CHORD] = chord;
    states[row + SIZE] = size;

    path.line[count] = next;
    path.touching[count] = isTouching ? 1 : 0;
    count++;
  }
  path.count = count;
}

/**
 * Eliminates forward over the stations of the line, which leaves y[j] = right[j] - upper[j] y[j + 1].
 *
 * @param row Start of the previous state. @param stiff Tension scale over the squared length.
 * @param along Drag along the whole line, as a share of the lure's drag.
 */
function eliminate(
  { states, upper, right }: RetrieveWorkspace,
  row: number,
  tension: number,
  stiff: number,
  along: number,
  perSize: number,
  perNext: number,
  tipHeight: number,
  weight: number,
): void {
  let above = 0;
  let carried = 0;
  for (let j = 1, k = STRIDE; j < INTERVALS; j++, k += STRIDE) {
    const pull = stiff * (tension + along * WEIGHTS[k + 6]);
    let low = pull * WEIGHTS[k];
    let middle = pull * WEIGHTS[k + 1];
    let high = pull * WEIGHTS[k + 2];
    let force = 0;
    const y = states[row + j];
    // In the air, between rod tip and surface, the model gives the line neither drag nor weight.
    if (y >= tipHeight) {
      const v = states[row + SPEED + j];
      const size = v < 0 ? -v : v;
      const drag = size > MIN_SPEED ? 2 * size : 2 * MIN_SPEED;
      const flow = drag * perNext;
      const still = drag * perSize;
      low -= flow * WEIGHTS[k + 3];
      middle -= flow * WEIGHTS[k + 4] + still;
      high -= flow * WEIGHTS[k + 5];
      force = -size * v - weight - still * y;
    }
    const pivot = 1 / (middle - low * above);
    carried = (force - low * carried) * pivot;
    above = high * pivot;
    right[j] = carried;
    upper[j] = above;
  }
}

/**
 * Substitutes back from the lure up to the rod tip. Also sets the line's crosswise speed, and the chord
 * without the bend of the last half interval.
 *
 * @param row Start of the new state, directly after the previous state.
 */
function substitute(
  { states, upper, right }: RetrieveWorkspace,
  row: number,
  end: number,
  perSize: number,
  perNext: number,
): void {
  states[row + INTERVALS] = end;
  let below = end;
  let here = right[INTERVALS - 1] - upper[INTERVALS - 1] * below;
  let shortening = 0;
  for (let j = INTERVALS - 1, k = STRIDE * j; j >= 1; j--, k -= STRIDE) {
    const above = j > 1 ? right[j - 1] - upper[j - 1] * here : 0;
    const slope = WEIGHTS[k + 3] * above + WEIGHTS[k + 4] * here + WEIGHTS[k + 5] * below;
    states[row + SPEED + j] = (here - states[row - STATE + j]) * perSize + slope * perNext;
    states[row + j] = here;
    const turned = (slope - here) * perNext;
    shortening += WEIGHTS[k + 7] * turned * turned;
    below = here;
    here = above;
  }
  states[row + CHORD] = 1 - shortening;
}

/** Starts a path with a straight line at rest. @returns Number of points. */
function layStraight(cast: number, tipHeight: number, path: RetrievePath, states: Float64Array): number {
  const theta = Math.asin(Math.min(1, tipHeight / cast));
  states.fill(0, 0, STATE);
  const end = cast * theta;
  for (let j = 0; j <= INTERVALS; j++) states[j] = STATION[j] * end;
  states[THETA] = theta;
  states[CHORD] = 1;
  states[SIZE] = FIRST_STEP;
  path.distance[0] = cast * Math.cos(theta);
  path.depth[0] = 0;
  path.line[0] = cast;
  path.touching[0] = 0;
  return 1;
}

/** Starts a path with a flight up to the first touch or to `leastLine`. @returns Number of points. */
function follow(
  free: Flight,
  bottom: BottomProfile,
  leastLine: number,
  path: RetrievePath,
  states: Float64Array,
): number {
  const { distance, depth, line, touching } = path;
  let count = 0;
  do {
    distance[count] = free.distance[count];
    depth[count] = free.depth[count];
    line[count] = free.line[count];
    touching[count] = 0;
    count++;
  } while (
    count < free.count &&
    free.line[count] >= leastLine &&
    free.depth[count] < Math.max(profileDepth(bottom, free.distance[count]), 0)
  );
  for (let k = (count - 1) * STATE; k < count * STATE; k++) states[k] = free.states[k];
  return count;
}

/** Lifts a lure from below the bottom onto the bottom. @param reach Chord, m. @returns True if on bottom. */
function holdUp(
  bottom: BottomProfile,
  reach: number,
  tipHeight: number,
  { distance, depth }: RetrievePath,
  point: number,
): boolean {
  let x = distance[point];
  let z = Math.max(profileDepth(bottom, x), 0);
  if (depth[point] < z) return false;
  // Find the point on the bottom with the same chord. Two rounds are enough on slopes under 45 deg.
  for (let round = 0; round < 2; round++) {
    x = Math.sqrt(Math.max(reach * reach - (z + tipHeight) * (z + tipHeight), 0));
    z = Math.max(profileDepth(bottom, x), 0);
  }
  distance[point] = x;
  depth[point] = z;
  return true;
}

/** Returns the line's weight in water divided by its drag when pulled broadside at the retrieve's speed. */
function weightRatio(line: Line, speed: number): number {
  const weight = ((line.density - WATER_DENSITY) * GRAVITY * Math.PI * line.diameter * line.diameter) / 4;
  return weight / (0.5 * WATER_DENSITY * NORMAL_DRAG * line.diameter * speed * speed);
}

/**
 * Returns eight weights for each station but the ends; xi is the station's share of the line from the rod
 * tip. Weights 0 to 2 give the second derivative by xi, 3 to 5 give xi times the first derivative, 6 is
 * 1 - xi, and 7 gives the shortening of the chord by the squared bend at the station.
 */
function stationWeights(station: Float64Array): Float64Array {
  const weights = new Float64Array(STRIDE * station.length);
  for (let j = 1; j < station.length - 1; j++) {
    const a = station[j] - station[j - 1];
    const b = station[j + 1] - station[j];
    const xi = station[j];
    const first = [-b / (a * (a + b)), (b - a) / (a * b), a / (b * (a + b))].map((value) => xi * value);
    const second = [2 / (a * (a + b)), -2 / (a * b), 2 / (b * (a + b))];
    weights.set([...second, ...first, 1 - xi, (a + b) / (4 * xi * xi)], STRIDE * j);
  }
  return weights;
}

/** Returns the weights of the last three stations in the first derivative at the last station. */
function endWeights(station: Float64Array): readonly [number, number, number] {
  const n = station.length - 1;
  const a = station[n] - station[n - 1];
  const b = station[n - 1] - station[n - 2];
  return [a / (b * (a + b)), -(a + b) / (a * b), 1 / a + 1 / (a + b)];
}
