import type { CastPlan, DepthGrid, DepthRange, Spot } from '../contract/index.ts';
import { bearingOf } from '../geo/index.ts';
import { bilinear } from '../math/index.ts';
import { type CastLine, placeOn } from './cast-lines.ts';
import { type CastRule, isBoatDepth } from './cast-rules.ts';

/** Why there is no cast under a rule. */
export interface NoCast {
  readonly missing: 'boat' | 'landing' | 'line' | 'draft' | 'zone' | 'contact';
  /** Range of sounded depths within a cast of the mark, m; absent if there are none, and for `contact`. */
  readonly depths?: DepthRange;
  readonly rule: CastRule;
  /** The best cast found; present only if `missing` is `contact`. */
  readonly plan?: CastPlan;
}

/**
 * Tells what is missing under a rule that allows no cast: sounded ground for the boat within a cast of the
 * mark, sounded ground for the landing within a cast of the mark, or a line past the fish between the two.
 */
export function whyNoCast(
  { grid, longestCast }: { readonly grid: DepthGrid; longestCast(bearing: number): number },
  rule: CastRule,
): NoCast {
  const { landing } = rule;
  const { size, cellSize, depth, sd, supported } = grid;
  const half = (size - 1) / 2;
  let top = Number.POSITIVE_INFINITY;
  let bottom = 0;
  let hasBoat = false;
  let hasLanding = false;
  for (let node = 0; node < depth.length; node++) {
    if (supported[node] === 0) continue;
    const here = depth[node];
    const isBoat = isBoatDepth(rule, here, sd[node]);
    const isLanding = here >= landing.top && here <= landing.bottom;
    const isNews = here < top || here > bottom || (isBoat && !hasBoat) || (isLanding && !hasLanding);
    if (!isNews) continue;
    const east = ((node % size) - half) * cellSize;
    const north = (Math.floor(node / size) - half) * cellSize;
    if (Math.hypot(east, north) > longestCast(bearingOf(east, north))) continue;
    top = Math.min(top, here);
    bottom = Math.max(bottom, here);
    hasBoat ||= isBoat;
    hasLanding ||= isLanding;
  }
  const missing = !hasBoat ? 'boat' : !hasLanding ? 'landing' : 'line';
  return bottom > 0 ? { missing, rule, depths: { top, bottom } } : { missing, rule };
}

/** Distance that the boat swings and drifts, m; judgment. */
export const SWING = 6;
/** Eight places that a boat may swing to, m east and north of the boat. */
export const SWINGS = Array.from({ length: 8 }, (_, turn) => {
  const angle = (turn * Math.PI) / 4;
  return [SWING * Math.sin(angle), SWING * Math.cos(angle)] as const;
});

/**
 * Returns the least depth, m, at a boat and at the places of `SWINGS`, each depth less two of its standard
 * deviations.
 *
 * Places outside the grid or without a depth do not count.
 */
export function leastDepthAround(
  grid: DepthGrid,
  { east, north, depth, depthSd }: Pick<Spot, 'east' | 'north' | 'depth' | 'depthSd'>,
): number {
  const { size, cellSize } = grid;
  const center = (size - 1) / 2;
  const lattice = { columns: size, rows: size };
  let least = depth - 2 * depthSd;
  for (const [de, dn] of SWINGS) {
    const column = center + (east + de) / cellSize;
    const row = center + (north + dn) / cellSize;
    const here = bilinear(lattice, grid.depth, column, row) - 2 * bilinear(lattice, grid.sd, column, row);
    if (here < least) least = here;
  }
  return least;
}

/**
 * True when the water is deep enough for the draft, m, wherever a boat on a line may swing.
 *
 * @param boat Index on the line.
 */
export function holdsDraft(grid: DepthGrid, line: CastLine, boat: number, draft: number): boolean {
  const [east, north] = placeOn(line, boat);
  return leastDepthAround(grid, { east, north, depth: line.depth[boat], depthSd: line.sd[boat] }) >= draft;
}
