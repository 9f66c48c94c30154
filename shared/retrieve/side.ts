import type { DepthGrid } from '../bottom/model.ts';
import type { CastLine } from './cast-lines.ts';
import type { Spot } from './cast-plan.ts';
import type { CastRule } from './cast-rules.ts';
import type { SearchSpace } from './search.ts';

/** Why the bottom allows no cast of a rule. */
export type NoCast = 'boat' | 'landing' | 'line';

/**
 * What is missing where no cast of a rule was found: sounded water for the boat within a cast of the mark, a landing
 * beyond the fish, or one line past the mark that has both.
 */
export function whyNoCast(space: SearchSpace, rule: CastRule): NoCast {
  let hasBoat = false;
  let hasLanding = false;
  for (const line of space.lines) {
    const longest = space.longestCast(line.bearing);
    const boats = anyDepth(line, -longest, 0, rule.boat.top, rule.boat.bottom);
    hasBoat ||= boats;
    hasLanding ||= anyDepth(line, 0, longest, rule.landing.top, rule.landing.bottom);
  }
  return !hasBoat ? 'boat' : !hasLanding ? 'landing' : 'line';
}

function anyDepth(line: CastLine, from: number, to: number, top: number, bottom: number): boolean {
  const last = Math.min(line.middle + Math.floor(to), line.depth.length - 1);
  for (let i = Math.max(line.middle + Math.ceil(from), 0); i <= last; i++)
    if (line.supported[i] === 1 && line.depth[i] >= top && line.depth[i] <= bottom) return true;
  return false;
}

/** The boat swings and drifts this far, m. */
const SWING = 6;

/**
 * Least depth, by the model less two standard deviations, where a boat at a place may swing to, m.
 *
 * Nodes outside the grid and without a depth do not count.
 */
export function leastDepthAround(
  grid: DepthGrid,
  { east, north, depth, depthSd }: Pick<Spot, 'east' | 'north' | 'depth' | 'depthSd'>,
): number {
  const { size, cellSize } = grid;
  const center = (size - 1) / 2;
  let least = depth - 2 * depthSd;
  for (let turn = 0; turn < 8; turn++) {
    const column = Math.round(center + (east + SWING * Math.sin((turn * Math.PI) / 4)) / cellSize);
    const row = Math.round(center + (north + SWING * Math.cos((turn * Math.PI) / 4)) / cellSize);
    if (column < 0 || row < 0 || column >= size || row >= size) continue;
    const node = row * size + column;
    const here = grid.depth[node] - 2 * grid.sd[node];
    if (here < least) least = here;
  }
  return least;
}
