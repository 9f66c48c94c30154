import { solveLower } from '../math/linear-algebra.ts';
import { correlationOf, type Posterior, type ShapeAt } from './predict.ts';
import { dot, type Fit, TREND } from './process.ts';

/** A depth at a node of the window, and its share in what is asked for: the middle's depth, and Horn's gradient. */
interface Node {
  readonly east: number;
  readonly north: number;
  readonly shape: number;
  readonly weights: readonly number[];
}

const LEVEL: ShapeAt = [0, 0, 0];

/**
 * Depth at the origin and gradient over a window of nine depths round it, with their covariance.
 *
 * The gradient is Horn's: nodes beside the middle count twice as much as the corners (Horn 1981, Proc. IEEE
 * 69(1):14-47). It is linear in the depths, so its covariance is as exact as that of the gradient at a point.
 *
 * @param half Half the side of the window, m; some meters, as the steps of the correlation table show
 * in variances over a small one.
 * @param shapeAt The shape coordinate of a place.
 */
export function gradientOverWindow(
  fit: Fit,
  half: number,
  shapeAt: (east: number, north: number) => ShapeAt = () => LEVEL,
): Posterior {
  const nodes = nodesOf(half, shapeAt);
  const rows = rowsOf(fit, nodes);
  const trends = [0, 1, 2].map((f) => [
    sumOf(nodes, ({ weights }) => weights[f]),
    sumOf(nodes, ({ weights, east }) => (weights[f] * east) / TREND),
    sumOf(nodes, ({ weights, north }) => (weights[f] * north) / TREND),
  ]);
  const [depth, east, north] = trends.map(
    (trend, f) => trend.reduce((sum, t, s) => sum + t * fit.coefficients[s], 0) + dot(rows[f], fit.alpha),
  );
  return { mean: [fit.design.zero + depth, east, north], covariance: covarianceOf(fit, nodes, rows, trends) };
}

function nodesOf(half: number, shapeAt: (east: number, north: number) => ShapeAt): Node[] {
  return [-1, 0, 1].flatMap((n) =>
    [-1, 0, 1].map((e) => ({
      east: half * e,
      north: half * n,
      shape: shapeAt(half * e, half * n)[0],
      weights: [e === 0 && n === 0 ? 1 : 0, (e * (2 - n * n)) / (8 * half), (n * (2 - e * e)) / (8 * half)],
    })),
  );
}

/** Covariance of what is asked for with each block. */
function rowsOf(fit: Fit, nodes: readonly Node[]): Float64Array[] {
  const { n, design, variation } = fit;
  const rows = [0, 1, 2].map(() => new Float64Array(n));
  for (const { east, north, shape, weights } of nodes) {
    for (let i = 0; i < n; i++) {
      const z = design.shape === undefined ? 0 : shape - design.shape[i];
      const c = variation.sill * correlationOf(fit, east - design.east[i], north - design.north[i], z);
      for (let f = 0; f < 3; f++) rows[f][i] += weights[f] * c;
    }
  }
  return rows;
}

/** Covariance of what is asked for, 3 x 3 row-major. @param rows Overwritten. */
function covarianceOf(
  fit: Fit,
  nodes: readonly Node[],
  rows: readonly Float64Array[],
  trends: readonly (readonly number[])[],
): Float64Array {
  for (const row of rows) solveLower(fit.factor, fit.n, fit.n, row);
  const unknown = trends.map((trend, f) => trend.map((t, s) => t - dot(fit.trend[s], rows[f])));
  const covariance = new Float64Array(9);
  for (let f = 0; f < 3; f++) {
    for (let g = 0; g < 3; g++) {
      let c = priorOf(fit, nodes, f, g) - dot(rows[f], rows[g]);
      for (let s = 0; s < 3; s++)
        for (let t = 0; t < 3; t++) c += unknown[f][s] * fit.trendCovariance[3 * s + t] * unknown[g][t];
      covariance[3 * f + g] = c;
    }
  }
  return covariance;
}

/** Covariance of two of what is asked for before any sounding. */
const priorOf = (fit: Fit, nodes: readonly Node[], f: number, g: number): number =>
  sumOf(nodes, (p) =>
    sumOf(nodes, (q) => {
      const weight = p.weights[f] * q.weights[g];
      if (weight === 0) return 0;
      const correlation = correlationOf(fit, p.east - q.east, p.north - q.north, p.shape - q.shape);
      return weight * fit.variation.sill * correlation;
    }),
  );

const sumOf = (nodes: readonly Node[], value: (node: Node) => number): number =>
  nodes.reduce((sum, node) => sum + value(node), 0);
