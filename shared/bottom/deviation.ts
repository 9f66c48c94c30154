import { cholesky, solveLower } from '../linear-algebra.ts';
import { errorBetween } from './design.ts';
import { LAST_RANGE, STEPS_PER_RANGE } from './kernel.ts';
import { CELL_SIZE, fillCoarse, GRID_SIZE, HALF } from './lattice.ts';
import type { Fit } from './process.ts';

/** Blocks that decide the depth of a node; those beyond are screened by them. */
const LOCAL_BLOCKS = 22;
/** Nodes 12 m apart on a side of a tile that shares its blocks. */
const TILE = 5;

/**
 * Standard deviation of the depth, m, at every second node each way, the rest averaged.
 *
 * From the nearest blocks of each tile of 5 x 5 nodes, with the trend taken as known: close to the full answer
 * between passes, at a hundredth of its cost.
 *
 * @param shape The shape coordinate at the nodes.
 */
export function deviationLattice(fit: Fit, shape: Float64Array): Float64Array {
  const out = new Float64Array(GRID_SIZE * GRID_SIZE);
  const count = Math.min(LOCAL_BLOCKS, fit.design.count);
  const room = {
    rows: new Int32Array(count),
    distance: new Float64Array(fit.design.count),
    factor: new Float64Array(count * count),
    row: new Float64Array(count),
  };
  for (let row = 0; row < GRID_SIZE; row += 2 * TILE) {
    for (let column = 0; column < GRID_SIZE; column += 2 * TILE) fillTile(fit, shape, row, column, room, out);
  }
  fillCoarse(out);
  return out;
}

interface Room {
  readonly rows: Int32Array;
  readonly distance: Float64Array;
  readonly factor: Float64Array;
  readonly row: Float64Array;
}

function fillTile(
  fit: Fit,
  shape: Float64Array,
  firstRow: number,
  firstColumn: number,
  room: Room,
  out: Float64Array,
): void {
  const { rows, factor, row } = room;
  const n = rows.length;
  const { design } = fit;
  const { sill, noise } = fit.variation;
  pickNearest(
    fit,
    (firstColumn + TILE - 1 - HALF) * CELL_SIZE,
    (firstRow + TILE - 1 - HALF) * CELL_SIZE,
    room,
  );
  for (let a = 0; a < n; a++) {
    const i = rows[a];
    for (let b = 0; b <= a; b++) {
      const j = rows[b];
      const z = design.shape === undefined ? 0 : design.shape[i] - design.shape[j];
      factor[a * n + b] =
        errorBetween(design, i, j) +
        sill * correlation(fit, design.east[i] - design.east[j], design.north[i] - design.north[j], z);
    }
    factor[a * n + a] += (noise - 1) * design.noise[i];
  }
  if (!cholesky(factor, n, n)) return;
  for (let r = firstRow; r < Math.min(GRID_SIZE, firstRow + 2 * TILE); r += 2) {
    for (let c = firstColumn; c < Math.min(GRID_SIZE, firstColumn + 2 * TILE); c += 2) {
      const node = r * GRID_SIZE + c;
      for (let a = 0; a < n; a++) {
        const i = rows[a];
        const z = design.shape === undefined ? 0 : shape[node] - design.shape[i];
        const de = (c - HALF) * CELL_SIZE - design.east[i];
        row[a] = sill * correlation(fit, de, (r - HALF) * CELL_SIZE - design.north[i], z);
      }
      solveLower(factor, n, n, row);
      let variance = sill;
      for (let a = 0; a < n; a++) variance -= row[a] * row[a];
      out[node] = Math.sqrt(Math.max(variance, 0));
    }
  }
}

function correlation({ variation }: Fit, de: number, dn: number, z: number): number {
  const { kernel, range, ratio, cos, sin } = variation;
  const u = (cos * de + sin * dn) / (range * ratio);
  const v = (cos * dn - sin * de) / range;
  const t = Math.sqrt(u * u + v * v + z * z) * STEPS_PER_RANGE;
  if (t >= LAST_RANGE * STEPS_PER_RANGE) return 0;
  const s = t | 0;
  return kernel.value[s] + (t - s) * (kernel.value[s + 1] - kernel.value[s]);
}

/** Puts the blocks nearest a place into `room.rows`. */
function pickNearest({ design }: Fit, east: number, north: number, { rows, distance }: Room): void {
  const n = design.count;
  for (let i = 0; i < n; i++) distance[i] = (design.east[i] - east) ** 2 + (design.north[i] - north) ** 2;
  let worst = 0;
  for (let k = 0; k < rows.length; k++) {
    rows[k] = k;
    if (distance[k] > distance[rows[worst]]) worst = k;
  }
  for (let i = rows.length; i < n; i++) {
    if (distance[i] >= distance[rows[worst]]) continue;
    rows[worst] = i;
    for (let k = 0; k < rows.length; k++) if (distance[rows[k]] > distance[rows[worst]]) worst = k;
  }
}
