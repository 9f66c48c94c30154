import { GRID_SIZE, latticeAt } from '../../bottom/index.ts';
import { clip, EAST, type HeightField, NORTH, nodesWithin, SMALL_HEIGHT, squash } from './height-field.ts';
import { Stencil } from './stencil.ts';

/** Distance from a crest to the points on both sides that give its height, m; judgment. */
const SIDE = 32;
/** Maximum distance of the start of a crest from the mark, m; judgment. */
const START_RADIUS = 30;
const AXES = 12;
/** Spacing of the three cross sections that are averaged at a start, m. */
const SECTION_SPACING = 12;
/** Length of a step straight along the crest, m. */
const STEP = 10;
/** Length of a sidestep across the crest, m; a step has up to two. */
const SIDESTEP = 4;
const STEPS_EACH_WAY = 8;

/** A crest line near the mark, or the floor line of a ditch as a crest of the bottom turned upside down. */
export interface Crest {
  /** Height above the higher side at the start, m, mean of three cross sections; negative without a crest. */
  readonly start: number;
  /** Start, m from the mark. */
  readonly east: number;
  readonly north: number;
  /** Unit vector along the crest. */
  readonly axisEast: number;
  readonly axisNorth: number;
  /** The crest followed both ways. The first way is the one that is higher after six steps. */
  readonly ways: readonly [CrestWalk, CrestWalk];
}

/** One way along a crest, with a value after each step. */
interface CrestWalk {
  /** Least height above the higher side so far, m, with 0.02 m taken off a step for each of its sidesteps. */
  readonly least: Float64Array;
  /** Height above the start, m. */
  readonly rise: Float64Array;
}

/** Finds the most distinct crest line and floor line near the mark, and follows both eight steps each way. */
export function findCrests({ smooth }: HeightField): readonly [ridge: Crest, valley: Crest] {
  const [ridge, valley] = bestStarts(smooth);
  return [follow(smooth, 1, ridge), follow(smooth, -1, valley)];
}

function follow(g: Float64Array, sign: 1 | -1, start: Start): Crest {
  const ways = [1, -1].map((way) => walk(g, sign, start, way)) as [CrestWalk, CrestWalk];
  if (ways[1].rise[5] > ways[0].rise[5]) ways.reverse();
  return { ...start, ways };
}

type Start = Omit<Crest, 'ways'>;

/** For each axis, three cross sections of a crest: a point on the crest and a point on each side. */
const SECTIONS = Array.from({ length: AXES }, (_, k) => {
  const [axisEast, axisNorth] = [Math.cos((Math.PI * k) / AXES), Math.sin((Math.PI * k) / AXES)];
  const places = [-SECTION_SPACING, 0, SECTION_SPACING].flatMap((along) =>
    [0, SIDE, -SIDE].map(
      (side) => [along * axisEast - side * axisNorth, along * axisNorth + side * axisEast] as const,
    ),
  );
  return { axisEast, axisNorth, stencil: new Stencil(places) };
});

const STARTS = nodesWithin(START_RADIUS);
/** Penalty subtracted from the height of a start for its distance from the mark, m. */
const FAR = Float64Array.from(STARTS, (node) => 0.0003 * (EAST[node] ** 2 + NORTH[node] ** 2));
/** Scratch by start, m, summed over 3 sections: height above the higher side, depth below the lower side. */
const [HIGHER, LOWER] = [new Float64Array(STARTS.length), new Float64Array(STARTS.length)];

/** Finds the starts of crest and floor line in one search, because both read the same heights. */
function bestStarts(g: Float64Array): readonly [ridge: Start, valley: Start] {
  const none: Start = { start: 0, east: 0, north: 0, axisEast: 1, axisNorth: 0 };
  let [ridge, valley] = [none, none];
  let mostRidge = Number.NEGATIVE_INFINITY;
  let mostValley = Number.NEGATIVE_INFINITY;
  for (const { axisEast, axisNorth, stencil } of SECTIONS) {
    HIGHER.fill(0);
    LOWER.fill(0);
    for (let p = 0; p < 9; p += 3) compareSides(g, stencil, p);
    for (let i = 0; i < STARTS.length; i++) {
      const east = EAST[STARTS[i]];
      const north = NORTH[STARTS[i]];
      const higher = HIGHER[i] / 3;
      const lower = LOWER[i] / 3;
      if (higher - FAR[i] > mostRidge) {
        mostRidge = higher - FAR[i];
        ridge = { start: higher, east, north, axisEast, axisNorth };
      }
      if (lower - FAR[i] > mostValley) {
        mostValley = lower - FAR[i];
        valley = { start: lower, east, north, axisEast, axisNorth };
      }
    }
  }
  return [ridge, valley];
}

/**
 * Adds one cross section to `HIGHER` and `LOWER` for every start. Interpolation is written out for speed.
 *
 * @param p Index in the stencil of the section's point on the crest.
 */
function compareSides(g: Float64Array, { steps, weights }: Stencil, p: number): void {
  const [here, left, right] = [steps[p], steps[p + 1], steps[p + 2]];
  const w = 4 * p;
  const [h0, h1, h2, h3] = [weights[w], weights[w + 1], weights[w + 2], weights[w + 3]];
  const [l0, l1, l2, l3] = [weights[w + 4], weights[w + 5], weights[w + 6], weights[w + 7]];
  const [r0, r1, r2, r3] = [weights[w + 8], weights[w + 9], weights[w + 10], weights[w + 11]];
  for (let i = 0; i < STARTS.length; i++) {
    const h = STARTS[i] + here;
    const l = STARTS[i] + left;
    const r = STARTS[i] + right;
    const on = h0 * g[h] + h1 * g[h + 1] + h2 * g[h + GRID_SIZE] + h3 * g[h + GRID_SIZE + 1];
    const one = l0 * g[l] + l1 * g[l + 1] + l2 * g[l + GRID_SIZE] + l3 * g[l + GRID_SIZE + 1];
    const other = r0 * g[r] + r1 * g[r + 1] + r2 * g[r + GRID_SIZE] + r3 * g[r + GRID_SIZE + 1];
    HIGHER[i] += on - Math.max(one, other);
    LOWER[i] += Math.min(one, other) - on;
  }
}

/** Returns the smaller drop (sign 1) or rise (sign -1) from a point to the two sides of an axis, m. */
function crestAt(
  g: Float64Array,
  sign: number,
  east: number,
  north: number,
  axisEast: number,
  axisNorth: number,
): number {
  const here = latticeAt(g, east, north);
  const left = latticeAt(g, east - SIDE * axisNorth, north + SIDE * axisEast);
  const right = latticeAt(g, east + SIDE * axisNorth, north - SIDE * axisEast);
  return Math.min(sign * (here - left), sign * (here - right));
}

function walk(g: Float64Array, sign: 1 | -1, start: Start, way: number): CrestWalk {
  const least = new Float64Array(STEPS_EACH_WAY);
  const rise = new Float64Array(STEPS_EACH_WAY);
  const zero = latticeAt(g, start.east, start.north);
  let { east, north } = start;
  let e = way * start.axisEast;
  let n = way * start.axisNorth;
  let running = start.start;
  for (let k = 0; k < STEPS_EACH_WAY; k++) {
    let best = Number.NEGATIVE_INFINITY;
    let stepEast = e;
    let stepNorth = n;
    let length = STEP;
    for (let side = -2; side <= 2; side++) {
      const de = STEP * e - side * SIDESTEP * n;
      const dn = STEP * n + side * SIDESTEP * e;
      const size = Math.sqrt(de * de + dn * dn);
      const c = crestAt(g, sign, east + de, north + dn, de / size, dn / size);
      if (c - 0.02 * Math.abs(side) > best) {
        best = c - 0.02 * Math.abs(side);
        stepEast = de / size;
        stepNorth = dn / size;
        length = size;
      }
    }
    east += length * stepEast;
    north += length * stepNorth;
    const nextEast = 0.6 * e + 0.4 * stepEast;
    const nextNorth = 0.6 * n + 0.4 * stepNorth;
    const size = Math.sqrt(nextEast * nextEast + nextNorth * nextNorth);
    e = nextEast / size;
    n = nextNorth / size;
    running = Math.min(running, best);
    least[k] = running;
    rise[k] = sign * (latticeAt(g, east, north) - zero);
  }
  return { least, rise };
}

/** Measures the height of a crest and its course toward the higher end ("up") and the lower end ("dn"). */
export function crestFeatures(crest: Crest): number[] {
  const height = Math.max(crest.start, 0);
  const scale = height + SMALL_HEIGHT;
  const weight = squash(height, SMALL_HEIGHT);
  const [up, down] = crest.ways;
  const least = (v: number): number => weight * clip(v / scale, -1, 1);
  const rise = (v: number): number => weight * clip(v / scale, -2, 2);
  return [
    squash(crest.start, SMALL_HEIGHT),
    least(up.least[3]),
    least(up.least[7]),
    least(down.least[7]),
    rise(down.rise[3]),
    rise(up.rise[5]),
    rise(down.rise[7]),
  ];
}

export const CREST_NAMES: readonly string[] = ['rdg32', 'val32'].flatMap((kind) =>
  ['c0', 'c40up', 'c80up', 'c80dn', 'z40dn', 'z60up', 'z80dn'].map((part) => `${kind}_${part}`),
);
