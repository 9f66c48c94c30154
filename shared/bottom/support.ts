import type { Blocks } from './blocks.ts';
import { CELL_SIZE, GRID_SIZE, HALF } from './lattice.ts';

/** Distance to a block within which a place counts as sounded, m. */
const SOUNDED = 10;
const SECTORS = 12;
/** Number of adjacent empty sectors (half a circle) that make a place unsupported, unless it is sounded. */
const LONGEST_EMPTY = 6;
const DIRECTIONS = 16;
/** Distances from the waypoint at which a cast is checked for support, m. */
const CAST_STEPS = [12, 18, 24, 30, 36, 42, 48, 54];

/**
 * Finds the nodes whose depth the blocks support: nodes within `SOUNDED` of a block, and nodes without an
 * empty half circle within 1.3 pass spacings (at least 20 m, at most 60 m).
 *
 * Every second node is checked each way. A node in between is supported when the checked nodes on two
 * opposite sides are supported.
 *
 * @returns 1 for each supported node, 0 for each other node.
 */
export function findSupported(blocks: Blocks, passSpacing: number): Uint8Array {
  const reach = Math.min(60, Math.max(20, 1.3 * passSpacing));
  const out = new Uint8Array(GRID_SIZE * GRID_SIZE);
  for (let row = 0; row < GRID_SIZE; row += 2) {
    for (let column = 0; column < GRID_SIZE; column += 2) {
      const east = (column - HALF) * CELL_SIZE;
      const north = (row - HALF) * CELL_SIZE;
      out[row * GRID_SIZE + column] = isCarried(blocks, east, north, reach) ? 1 : 0;
    }
  }
  for (let row = 0; row < GRID_SIZE; row++) {
    for (let column = 0; column < GRID_SIZE; column++) {
      const up = row % 2;
      const right = column % 2;
      if (up === 0 && right === 0) continue;
      const node = row * GRID_SIZE + column;
      const low = node - up * GRID_SIZE - right;
      const high = node + up * GRID_SIZE + right;
      out[node] = out[low] & out[high];
    }
  }
  return out;
}

function isCarried(blocks: Blocks, east: number, north: number, reach: number): boolean {
  const { count } = blocks;
  const limit = reach * reach;
  let sectors = 0;
  for (let i = 0; i < count; i++) {
    const e = blocks.east[i] - east;
    const n = blocks.north[i] - north;
    const square = e * e + n * n;
    if (square > limit) continue;
    if (square < SOUNDED * SOUNDED) return true;
    sectors |= 1 << sectorOf(e, n);
  }
  return longestEmpty(sectors) < LONGEST_EMPTY;
}

/** Returns the sector of 30 deg that a vector points to, 0 to 11, counterclockwise from east. */
function sectorOf(e: number, n: number): number {
  let sector = 0;
  if (n < 0 || (n === 0 && e < 0)) {
    sector = 6;
    e = -e;
    n = -n;
  }
  if (e <= 0) {
    sector += 3;
    const swap = e;
    e = n;
    n = -swap;
  }
  // Tangents of 30 and 60 deg; an arctangent of every vector would be slow.
  return sector + (n < 0.57735 * e ? 0 : n < 1.73205 * e ? 1 : 2);
}

/** Counts the sectors of the longest empty run. @param sectors Bit k is 1 if sector k has a block. */
function longestEmpty(sectors: number): number {
  if (sectors === 0) return SECTORS;
  let longest = 0;
  let length = 0;
  for (let k = 0; k < 2 * SECTORS; k++) {
    length = sectors & (1 << (k % SECTORS)) ? 0 : length + 1;
    longest = Math.max(longest, length);
  }
  return Math.min(longest, SECTORS);
}

/** Returns the share of a cast on supported nodes, 0 to 1, in 16 directions clockwise from north. */
export function supportByDirection(supported: Uint8Array): Float64Array {
  const out = new Float64Array(DIRECTIONS);
  for (let k = 0; k < DIRECTIONS; k++) {
    const bearing = (2 * Math.PI * k) / DIRECTIONS;
    for (const distance of CAST_STEPS) {
      const row = Math.round((distance * Math.cos(bearing)) / CELL_SIZE) + HALF;
      const column = Math.round((distance * Math.sin(bearing)) / CELL_SIZE) + HALF;
      out[k] += supported[row * GRID_SIZE + column] / CAST_STEPS.length;
    }
  }
  return out;
}
