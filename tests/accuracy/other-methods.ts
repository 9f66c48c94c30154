import { findRuns, makeBlocks, trackSpacing } from '../../shared/bottom/blocks.ts';
import type { LocalSoundings } from '../../shared/bottom/local-rows.ts';
import { fitRobustQuadratic } from '../../shared/bottom/quadratic.ts';
import type { Answer } from './bottom-errors.ts';
import { plainProcessAnswer } from './plain-process.ts';
import { triangulate } from './triangulated.ts';

/** Depth, m, at meters east and north of the mark; undefined where the method gives none. */
type DepthAt = (east: number, north: number) => number | undefined;

interface Points {
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly depth: Float64Array;
}

/** Node spacing of the 3 x 3 window for Horn's slope, m. */
const HORN_CELL = 5;

/**
 * Other methods on the same soundings: three interpolations of 3 m block means with Horn's slope on a 5 m
 * grid, a robust quadratic, and a basic version of the project's own method.
 */
export const OTHER_METHODS: Readonly<Record<string, (soundings: LocalSoundings) => Answer | undefined>> = {
  'triangulation, Horn': (soundings) => hornAnswer(triangulation(blockMeans(soundings))),
  'thin-plate spline, Horn': (soundings) => hornAnswer(thinPlate(nearest(blockMeans(soundings), 150))),
  'natural neighbor, Horn': (soundings) => hornAnswer(naturalNeighbor(nearest(blockMeans(soundings), 150))),
  'robust quadratic, R = 1.5 S': quadraticAnswer,
  'plain process, pass errors': plainProcessAnswer,
};

/** Block length along the track, m. */
const LENGTHS = { near: 3, thin: 3, far: 3 };
const blockMeans = (soundings: LocalSoundings): Points =>
  makeBlocks(soundings, findRuns(soundings), LENGTHS, 0);

function nearest(points: Points, count: number): Points {
  const order = Array.from(points.east, (_, i) => i)
    .sort((a, b) => Math.hypot(points.east[a], points.north[a]) - Math.hypot(points.east[b], points.north[b]))
    .slice(0, count);
  const take = (column: Float64Array): Float64Array => Float64Array.from(order, (i) => column[i]);
  return { east: take(points.east), north: take(points.north), depth: take(points.depth) };
}

/** Computes slope and aspect from Horn's weighted differences on a 3 x 3 window around the mark. */
function hornAnswer(at: DepthAt): Answer | undefined {
  const z: number[] = [];
  for (const n of [1, 0, -1]) {
    for (const e of [-1, 0, 1]) {
      const depth = at(e * HORN_CELL, n * HORN_CELL);
      if (depth === undefined) return undefined;
      z.push(depth);
    }
  }
  const [east, north] = horn(z, HORN_CELL);
  return {
    depth: z[4],
    slope: (Math.atan(Math.hypot(east, north)) * 180) / Math.PI,
    aspect: ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360,
  };
}

/**
 * Returns the gradient `[east, north]` at the center of 3 x 3 values in rows from the northwest.
 *
 * Source: Horn 1981, Proc. IEEE 69(1):14-47, doi:10.1109/PROC.1981.11918.
 */
export function horn(z: readonly number[], cellSize: number): [east: number, north: number] {
  return [
    (z[2] + 2 * z[5] + z[8] - z[0] - 2 * z[3] - z[6]) / (8 * cellSize),
    (z[0] + 2 * z[1] + z[2] - z[6] - 2 * z[7] - z[8]) / (8 * cellSize),
  ];
}

/**
 * Returns the gradient `[east, north]`, profile curvature and plan curvature at the center of 3 x 3 values in
 * rows from the northwest.
 *
 * Curvatures in 1/m, profile curvature positive where convex. Source: Zevenbergen & Thorne 1987, ESPL
 * 12:47-56.
 */
export function zevenbergenThorne(
  z: readonly number[],
  cellSize: number,
): { east: number; north: number; profile: number; plan: number } {
  const square = cellSize * cellSize;
  const d = ((z[3] + z[5]) / 2 - z[4]) / square;
  const e = ((z[1] + z[7]) / 2 - z[4]) / square;
  const f = (-z[0] + z[2] + z[6] - z[8]) / (4 * square);
  const g = (-z[3] + z[5]) / (2 * cellSize);
  const h = (z[1] - z[7]) / (2 * cellSize);
  const steep = g * g + h * h;
  return {
    east: g,
    north: h,
    profile: (-2 * (d * g * g + e * h * h + f * g * h)) / steep,
    plan: (2 * (d * h * h + e * g * g - f * g * h)) / steep,
  };
}

/** Interpolates linearly on Delaunay triangles. */
function triangulation({ east, north, depth }: Points): DepthAt {
  const bottom = triangulate(east, north, depth, Number.POSITIVE_INFINITY);
  return (e, n) => {
    const at = bottom.at(e, n);
    return Number.isNaN(at) ? undefined : at;
  };
}

/** Interpolates by a thin-plate spline, r^2 ln r plus a plane. Source: Duchon 1977. */
function thinPlate({ east, north, depth }: Points): DepthAt {
  const n = east.length;
  const size = n + 3;
  const a = Array.from({ length: size }, () => new Float64Array(size + 1));
  const basis = (square: number): number => (square === 0 ? 0 : (square * Math.log(square)) / 2);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) a[i][j] = basis((east[i] - east[j]) ** 2 + (north[i] - north[j]) ** 2);
    [1, east[i], north[i]].forEach((v, k) => {
      a[i][n + k] = v;
      a[n + k][i] = v;
    });
    a[i][size] = depth[i];
  }
  const weight = eliminate(a);
  return (e, m) => {
    let sum = weight[n] + weight[n + 1] * e + weight[n + 2] * m;
    for (let i = 0; i < n; i++) sum += weight[i] * basis((e - east[i]) ** 2 + (m - north[i]) ** 2);
    return sum;
  };
}

/** Solves, by elimination with pivoting, a linear system with the right-hand side in the last column. */
function eliminate(a: Float64Array[]): Float64Array {
  const n = a.length;
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(a[i][k]) > Math.abs(a[pivot][k])) pivot = i;
    [a[k], a[pivot]] = [a[pivot], a[k]];
    for (let i = k + 1; i < n; i++) {
      const f = a[i][k] / a[k][k];
      if (f === 0) continue;
      for (let j = k; j <= n; j++) a[i][j] -= f * a[k][j];
    }
  }
  const x = new Float64Array(n);
  for (let k = n - 1; k >= 0; k--) {
    let sum = a[k][n];
    for (let j = k + 1; j < n; j++) sum -= a[k][j] * x[j];
    x[k] = sum / a[k][k];
  }
  return x;
}

/**
 * Interpolates by Sibson's natural neighbors on a raster: each cell that is closer to the query position than
 * to any data point contributes the depth of its nearest data point. Source: Park et al. 2006, IEEE Trans.
 * Vis. Comput. Graph. 12(2).
 */
function naturalNeighbor({ east, north, depth }: Points): DepthAt {
  const step = 1.5;
  const reach = 30;
  const side = Math.round((2 * (reach + 10)) / step) + 1;
  const owner = new Int32Array(side * side);
  const distance = new Float64Array(side * side);
  for (let k = 0; k < owner.length; k++) {
    const e = ((k % side) - (side - 1) / 2) * step;
    const n = (Math.floor(k / side) - (side - 1) / 2) * step;
    let best = Number.POSITIVE_INFINITY;
    for (let i = 0; i < east.length; i++) {
      const square = (e - east[i]) ** 2 + (n - north[i]) ** 2;
      if (square < best) {
        best = square;
        owner[k] = i;
      }
    }
    distance[k] = best;
  }
  return (e, n) => {
    let sum = 0;
    let cells = 0;
    for (let k = 0; k < owner.length; k++) {
      const de = ((k % side) - (side - 1) / 2) * step - e;
      const dn = (Math.floor(k / side) - (side - 1) / 2) * step - n;
      if (de * de + dn * dn >= distance[k]) continue;
      sum += depth[owner[k]];
      cells++;
    }
    return cells === 0 ? undefined : sum / cells;
  };
}

function quadraticAnswer(soundings: LocalSoundings): Answer | undefined {
  const runs = findRuns(soundings);
  const blocks = makeBlocks(soundings, runs, LENGTHS, 0);
  const fit = fitRobustQuadratic(blocks, 1.5 * trackSpacing(soundings, runs));
  if (fit === undefined) return undefined;
  const [depth, east, north] = fit.coefficients;
  return {
    depth,
    slope: (Math.atan(Math.hypot(east, north)) * 180) / Math.PI,
    aspect: ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360,
  };
}
