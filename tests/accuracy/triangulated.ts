import Delaunator from 'delaunator';

/** Linear interpolation of scattered depths on their Delaunay triangles. */
export interface Triangulated {
  /**
   * Returns the depth, m; NaN outside, or in a triangle with a side above `longest`. @param x, y As of the
   * points.
   */
  at(x: number, y: number): number;
}

export function triangulate(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  depth: ArrayLike<number>,
  longest: number,
): Triangulated {
  const coords = new Float64Array(2 * x.length);
  for (let k = 0; k < x.length; k++) [coords[2 * k], coords[2 * k + 1]] = [x[k], y[k]];
  const { triangles, halfedges } = new Delaunator(coords);
  let last = 0;
  const side = (edge: number, px: number, py: number): number => {
    const [a, b] = [triangles[edge], triangles[edge % 3 === 2 ? edge - 2 : edge + 1]];
    return (x[b] - x[a]) * (py - y[a]) - (y[b] - y[a]) * (px - x[a]);
  };
  /** Walks from the triangle found last to the one that holds the position; undefined outside. */
  const find = (px: number, py: number): number | undefined => {
    let triangle = last;
    for (let steps = 0; steps < triangles.length; steps++) {
      const edge = [0, 1, 2].map((k) => 3 * triangle + k).find((each) => side(each, px, py) > 1e-12);
      if (edge === undefined) {
        last = triangle;
        return triangle;
      }
      if (halfedges[edge] < 0) return undefined;
      triangle = Math.floor(halfedges[edge] / 3);
    }
    return undefined;
  };
  return {
    at(px, py) {
      const triangle = find(px, py);
      if (triangle === undefined) return Number.NaN;
      const [a, b, c] = [0, 1, 2].map((k) => triangles[3 * triangle + k]);
      const sides = [
        [a, b],
        [b, c],
        [c, a],
      ];
      if (sides.some(([p, q]) => Math.hypot(x[p] - x[q], y[p] - y[q]) > longest)) return Number.NaN;
      const area = (x[b] - x[a]) * (y[c] - y[a]) - (x[c] - x[a]) * (y[b] - y[a]);
      const wb = ((px - x[a]) * (y[c] - y[a]) - (x[c] - x[a]) * (py - y[a])) / area;
      const wc = ((x[b] - x[a]) * (py - y[a]) - (px - x[a]) * (y[b] - y[a])) / area;
      return depth[a] + wb * (depth[b] - depth[a]) + wc * (depth[c] - depth[a]);
    },
  };
}
