import { BREAKS, depthOf, EDGES, EQUALS, WAYS } from './memory';
import { beginSteps, east, north, pause, stepTo } from './steps';

const LONGEST_STEP: f64 = 20;
const LONGEST_PAUSE: f64 = 30;

/** Number in the log of the next row. */
let next: i32 = 0;
let way: f64 = 0;
let before: f64 = 0;
/** First row of the stretch of equal depths at hand. */
export let start: i32 = 0;
let startDepth: f32 = 0;
let startWay: f64 = 0;

/** What the last call found: how many `EDGES`, and how many longer stretches in `EQUALS`, start and end. */
export let edges: i32 = 0;
export let longRuns: i32 = 0;
/** Rows of the others that repeat a depth, of so many, over all calls. */
export let equal: i32 = 0;
export let pairs: i32 = 0;

export function beginEchoes(): void {
  beginSteps();
  next = start = 0;
  way = startWay = 0;
  equal = pairs = 0;
}

/** See `findEdgesIn` and `findEqualIn` of `echoes.ts`. */
export function findEdges(rows: i32, height: f64, share: f64, steepness: f64, limit: f64): void {
  edges = longRuns = 0;
  for (let row: usize = 0; row < <usize>rows; row++) {
    stepTo(row);
    const depth = depthOf(row);
    const i = next++;
    let isBreak = false;
    const wayBefore = way;
    if (i > 0) {
      const step = Math.sqrt(east * east + north * north);
      way += step;
      if (step > LONGEST_STEP || pause > LONGEST_PAUSE || pause < 0) {
        isBreak = true;
        addEdge(i);
      } else {
        const change = Math.abs(<f64>depth - before);
        const least = Math.min(<f64>depth, before);
        if (change > 0.5 * Math.max(height, share * least) && change > steepness * step) addEdge(i);
      }
      if (depth !== startDepth || isBreak) {
        if (wayBefore - startWay > limit) {
          store<i32>(EQUALS + ((<usize>longRuns) << 3), start);
          store<i32>(EQUALS + ((<usize>longRuns) << 3) + 4, i);
          longRuns++;
        } else {
          equal += i - 1 - start;
          pairs += i - start;
        }
        start = i;
        startDepth = depth;
        startWay = way;
      }
    } else startDepth = depth;
    before = <f64>depth;
    store<f64>(WAYS + (row << 3), way);
    store<u8>(BREAKS + row, isBreak ? 1 : 0);
  }
}

function addEdge(row: i32): void {
  store<i32>(EDGES + ((<usize>edges) << 2), row);
  edges++;
}
