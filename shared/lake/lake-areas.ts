import { contours } from 'd3-contour';
import { AREA_KINDS, type BottomArea } from '../contract/index.ts';
import { type ClosedForm, isLong, ring } from './closed-forms.ts';
import { formsOfLake, type LakeForms } from './lake-forms.ts';
import type { LakeGrid } from './lake-grid.ts';
import { placeOf } from './lake-lines.ts';
import { gaussianMean, gradient, knownNodes } from './raster.ts';

/** A closed form of the bottom, or flat ground. */
export type LakeArea = BottomArea;

/** Greatest slope of flat ground, deg, smoothing window of the slope, m, and least area, m^2. */
const FLAT_SLOPE = 2;
const FLAT_SMOOTHING = 20;
const LEAST_FLAT = 2500;

/** Humps, ridges, holes, ditches and flats of the lake, with the largest relief first within each kind. */
export function findLakeAreas(grid: LakeGrid, { mean, share }: LakeForms = formsOfLake(grid)): LakeArea[] {
  const forms = [
    ...mean.tops.map((form) => areaOf(grid, form, 1, share('top', form.top))),
    ...mean.lows.map((form) => areaOf(grid, form, -1, share('low', form.top))),
  ];
  const order = (area: LakeArea): number => AREA_KINDS.indexOf(area.kind);
  return [...forms, ...findFlats(grid)].sort((a, b) => order(a) - order(b) || b.relief - a.relief);
}

function areaOf(grid: LakeGrid, form: ClosedForm, sign: 1 | -1, sure: number): LakeArea {
  const long = isLong(grid, form.nodes);
  return {
    kind: sign > 0 ? (long ? 'ridge' : 'hump') : long ? 'ditch' : 'hole',
    ...outline(grid, form.nodes),
    top: placeOf(grid, form.top % grid.columns, Math.floor(form.top / grid.columns)),
    topDepth: form.topDepth,
    relief: form.relief,
    sure,
  };
}

function outline(grid: LakeGrid, nodes: readonly number[]): Pick<LakeArea, 'rings' | 'area'> {
  const columns = nodes.map((node) => node % grid.columns);
  const rows = nodes.map((node) => Math.floor(node / grid.columns));
  const [x0, y0] = [Math.min(...columns) - 1, Math.min(...rows) - 1];
  const [width, height] = [Math.max(...columns) - x0 + 2, Math.max(...rows) - y0 + 2];
  const inside = new Array<number>(width * height).fill(0);
  for (let i = 0; i < nodes.length; i++) inside[(rows[i] - y0) * width + columns[i] - x0] = 1;
  const shape = contours().size([width, height]).contour(inside, 0.5);
  // Node n is at n + 0.5 in the library's plane.
  const rings = (shape.coordinates[0] ?? []).map((found) =>
    found.map(([x, y]) => placeOf(grid, x0 + x - 0.5, y0 + y - 0.5)),
  );
  return { rings, area: nodes.length * grid.cell ** 2 };
}

/** Flat ground in pieces of at least 2,500 m^2. */
function findFlats(grid: LakeGrid): LakeArea[] {
  const mask = knownNodes(grid.depth);
  const depth = gaussianMean(grid, mask, FLAT_SMOOTHING)(grid.depth);
  for (let k = 0; k < depth.length; k++) if (!mask[k]) depth[k] = Number.NaN;
  const [gx, gy] = gradient(grid, depth);
  const limit = Math.tan((FLAT_SLOPE * Math.PI) / 180) ** 2;
  const left = mask.map((known, k) => (known && gx[k] ** 2 + gy[k] ** 2 < limit ? 1 : 0));
  const steps = ring(grid.columns);
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
    if (nodes.length * grid.cell ** 2 < LEAST_FLAT) continue;
    const depths = nodes.map((node) => depth[node]).sort((a, b) => a - b);
    const middle = nodes.reduce(
      (best, node) => (grid.distance[node] < grid.distance[best] ? node : best),
      nodes[0],
    );
    areas.push({
      kind: 'flat',
      ...outline(grid, nodes),
      top: placeOf(grid, middle % grid.columns, Math.floor(middle / grid.columns)),
      topDepth: depths[depths.length >> 1],
      relief: depths[depths.length - 1] - depths[0],
      sure: 1,
    });
  }
  return areas;
}
