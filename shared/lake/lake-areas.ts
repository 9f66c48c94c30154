import { contours } from 'd3-contour';
import { AREA_KINDS, type BottomArea } from '../contract/index.ts';
import { type ClosedForm, isLong } from './closed-forms.ts';
import { formsOfLake, type LakeForms } from './lake-forms.ts';
import type { LakeGrid } from './lake-grid.ts';
import { placeOf } from './lake-lines.ts';
import { extentOf, gaussianMean, gradient, knownNodes } from './raster.ts';
import type { Terrain } from './terrain.ts';

/** A closed form of the bottom, or flat ground. */
export type LakeArea = BottomArea;

const FLAT_SLOPE = 2;
/** Standard deviation of the Gaussian smoothing before the search for flat ground, m. */
const FLAT_SMOOTHING = 20;
const MIN_FLAT = 2500;

/** Finds humps, ridges, holes, ditches and flats of the lake, by kind, largest relief first. */
export function findLakeAreas(grid: LakeGrid, { mean, share }: LakeForms = formsOfLake(grid)): LakeArea[] {
  const forms = [
    ...mean.tops.map((form) => areaOf(grid, mean.terrain, form, 1, share('top', form.top))),
    ...mean.lows.map((form) => areaOf(grid, mean.terrain, form, -1, share('low', form.top))),
  ];
  const order = (area: LakeArea): number => AREA_KINDS.indexOf(area.kind);
  return [...forms, ...findFlats(grid)].sort((a, b) => order(a) - order(b) || b.relief - a.relief);
}

function areaOf(grid: LakeGrid, { depth }: Terrain, form: ClosedForm, sign: 1 | -1, sure: number): LakeArea {
  const long = isLong(grid, form.nodes);
  const above = (node: number): number => form.relief - sign * (depth[node] - form.topDepth);
  return {
    kind: sign > 0 ? (long ? 'ridge' : 'hump') : long ? 'ditch' : 'hole',
    ...outline(grid, form.nodes, above, form.relief),
    top: placeOf(grid, form.top % grid.columns, Math.floor(form.top / grid.columns)),
    topDepth: form.topDepth,
    relief: form.relief,
    sure,
  };
}

/** Minimum magnitude of a value outside an outline, as a share of `scale`: 0 would lie on the outline. */
const LEAST = 1e-9;

/**
 * Traces the outline of connected nodes: interpolates where a value falls to 0 between these nodes and the
 * surrounding nodes.
 *
 * @param valueAt Value at a node, in any unit; positive at the connected nodes.
 * @param scale Magnitude of the value at surrounding nodes where `valueAt` is NaN; also the unit of `LEAST`.
 */
function outline(
  grid: LakeGrid,
  nodes: readonly number[],
  valueAt: (node: number) => number,
  scale: number,
): Pick<LakeArea, 'rings' | 'area'> {
  const { columns, cell } = grid;
  const [left, top, right, bottom] = extentOf(columns, [nodes]);
  const [x0, y0] = [left - 1, top - 1];
  const [width, height] = [right - x0 + 2, bottom - y0 + 2];
  const values = new Array<number>(width * height);
  for (let row = 0; row < height; row++)
    for (let column = 0; column < width; column++) {
      const value = valueAt((y0 + row) * columns + x0 + column);
      const size = Math.abs(value);
      values[row * width + column] = -(size > LEAST * scale
        ? size
        : Number.isNaN(size)
          ? scale
          : LEAST * scale);
    }
  for (const node of nodes)
    values[(Math.floor(node / columns) - y0) * width + (node % columns) - x0] = valueAt(node);
  const shape = contours().size([width, height]).contour(values, 0);
  // Nodes that touch only at corners form separate parts; the part with the most outline points is kept.
  const part = shape.coordinates.reduce((most, each) => (each[0].length > most[0].length ? each : most));
  // Node n is at n + 0.5 in the library's plane.
  const rings = part.map((found) => found.map(([x, y]) => placeOf(grid, x0 + x - 0.5, y0 + y - 0.5)));
  return { rings, area: nodes.length * cell ** 2 };
}

function findFlats(grid: LakeGrid): LakeArea[] {
  const mask = knownNodes(grid.depth);
  const depth = gaussianMean(grid, mask, FLAT_SMOOTHING)(grid.depth);
  for (let k = 0; k < depth.length; k++) if (!mask[k]) depth[k] = Number.NaN;
  const [gx, gy] = gradient(grid, depth);
  const limit = Math.tan((FLAT_SLOPE * Math.PI) / 180) ** 2;
  const flatness = (k: number): number => limit - gx[k] ** 2 - gy[k] ** 2;
  const left = mask.map((known, k) => (known && flatness(k) > 0 ? 1 : 0));
  // Only neighbors along the axes are joined: nodes that touch only at a corner have separate outlines.
  const steps = [1, grid.columns, -1, -grid.columns];
  const areas: LakeArea[] = [];
  for (let seed = left.indexOf(1); seed >= 0; seed = left.indexOf(1, seed)) {
    left[seed] = 0;
    const nodes = [seed];
    for (const node of nodes)
      for (const step of steps)
        if (left[node + step]) {
          left[node + step] = 0;
          nodes.push(node + step);
        }
    if (nodes.length * grid.cell ** 2 < MIN_FLAT) continue;
    const depths = nodes.map((node) => depth[node]).sort((a, b) => a - b);
    const middle = nodes.reduce(
      (best, node) => (grid.distance[node] < grid.distance[best] ? node : best),
      nodes[0],
    );
    areas.push({
      kind: 'flat',
      ...outline(grid, nodes, flatness, limit),
      top: placeOf(grid, middle % grid.columns, Math.floor(middle / grid.columns)),
      topDepth: depths[depths.length >> 1],
      relief: depths[depths.length - 1] - depths[0],
      sure: 1,
    });
  }
  return areas;
}
