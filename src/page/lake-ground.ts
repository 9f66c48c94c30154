import { cross, extent, mean, range } from 'd3-array';
import type { DisplayUnits } from '../../shared/contract/index.ts';
import { type LakeGrid, placeOf } from '../../shared/lake/index.ts';
import { depthNumber } from '../../shared/text/index.ts';
import { FIGURE_TINTS } from './figure-style.ts';
import {
  chooseIsobaths,
  drawIsobaths,
  type FigureGrid,
  type IsobathDepths,
  soundedAt,
  traceIsobath,
} from './isobaths.ts';
import { placeOnLine } from './label-places.ts';
import { type LakeLayout, MAP_WIDTH } from './lake-layout.ts';
import { type MapLabels, ZOOM_LEVELS } from './map-labels.ts';
import { overviewGrid } from './overview-grid.ts';
import type { ReportInput } from './report-input.ts';
import { type FigurePlace, moved, pair, short } from './svg.ts';

/**
 * Draws depth tints, isobaths and unsounded water. Labels of isobaths and of unsounded water avoid what
 * `labels` holds, and each other.
 *
 * @returns `markup`; `labels`, the markup to draw above it; the `isobaths`; and `depths`, the minimum and the
 * maximum depth shown, m.
 */
export function drawLakeGround(input: ReportInput, layout: LakeLayout, labels: MapLabels) {
  const { depth, sounded } = groundOf(input, layout);
  const [least = 0, greatest = 0] = extent(depth.values.filter((_, k) => sounded.values[k] === 1));
  // Between the last soundings and the shore, the model may rise above the water.
  const depths = [Math.max(0, least), Math.max(0, greatest)] as const;
  const isobaths = chooseIsobaths(...depths, input.units, FIGURE_TINTS, 0.9);
  const { markup, lines } = drawIsobaths(depth, isobaths);
  const edge = traceIsobath(sounded, 0.5).path;
  const outline = `M-9-9H${MAP_WIDTH + 9}V${short(layout.height + 9)}H-9Z`;
  const isSounded = soundedAt(sounded);
  return {
    markup: `${markup}<path class="blank" fill-rule="evenodd" d="${outline}${edge}"/>`,
    labels: `<g class="iso">${isobathLabels(lines, isobaths, input.units, layout, labels, isSounded)}${blankLabel(layout, labels, isSounded)}</g>`,
    isobaths,
    depths,
  };
}

/**
 * Returns the ground as two figure grids. `depth`, m, extends slightly beyond the sounded area, so that
 * isobaths reach the edge of that area. `sounded` is 1 in the sounded area, else 0.
 */
function groundOf(
  { lake, survey }: ReportInput,
  layout: LakeLayout,
): Record<'depth' | 'sounded', FigureGrid> {
  if (lake !== undefined) return modelGround(lake.grid, layout);
  const { columns, rows, depth, sounded, toLocal } = overviewGrid(survey, layout.frame, layout.extent);
  const toFigure = (column: number, row: number): FigurePlace => layout.toFigure(...toLocal(column, row));
  const grid = { columns, rows, toFigure };
  return { depth: { ...grid, values: depth }, sounded: { ...grid, values: sounded } };
}

function modelGround(lake: LakeGrid, { at }: LakeLayout) {
  const { columns, rows, depth } = lake;
  const grid = {
    columns,
    rows,
    toFigure: (column: number, row: number): FigurePlace => at(...placeOf(lake, column, row)),
  };
  const sounded = depth.map((value) => (Number.isNaN(value) ? 0 : 1));
  const values = grown(grown(Float64Array.from(depth), columns), columns);
  return { depth: { ...grid, values }, sounded: { ...grid, values: sounded } };
}

/** Extends known depths by one ring of nodes, each the mean of its known neighbors. */
const grown = (depth: Float64Array, columns: number): Float64Array =>
  depth.map((value, k) => {
    if (!Number.isNaN(value)) return value;
    const column = k % columns;
    const beside = [column > 0 ? k - 1 : -1, column < columns - 1 ? k + 1 : -1, k - columns, k + columns];
    return mean(beside, (node) => depth[node]) ?? Number.NaN;
  });

/** Maximum number of labels that each zoom level adds to an isobath. */
const LABELS_BY_LEVEL = [1, 2, 3, 4];
/** Minimum distance of a label from everything already placed, px. */
const CLEAR = 24;

function isobathLabels(
  lines: readonly FigurePlace[][][],
  { depths, tints }: IsobathDepths,
  units: DisplayUnits,
  layout: LakeLayout,
  labels: MapLabels,
  isSounded: (place: FigurePlace) => boolean,
): string {
  let markup = '';
  for (const [level, count] of LABELS_BY_LEVEL.entries()) {
    const taken = labels.takenAt(level);
    const edge = 14 / ZOOM_LEVELS[level];
    const isAllowed = ([x, y]: FigurePlace): boolean =>
      x > edge && y > edge && x < MAP_WIDTH - edge && y < layout.height - edge && isSounded([x, y]);
    // Isobaths that begin a tint choose their places first.
    const order = [...lines.keys()].sort(
      (a, b) => Number(tints[a] === undefined) - Number(tints[b] === undefined),
    );
    for (const i of order) {
      for (let k = 0; k < count; k += 1) {
        const label = placeOnLine(lines[i], taken, CLEAR / ZOOM_LEVELS[level], isAllowed);
        if (label === undefined) break;
        taken.push(label.place);
        labels.take(label.place);
        markup += `<g class="n${level}" transform="translate(${pair(...label.place)})rotate(${short(label.turn, 0)})"><text class="fix mid" dy=".35em">${depthNumber(depths[i], units)}</text></g>`;
      }
    }
  }
  return markup;
}

/** Half the width and half the height of the label on blank water, px. */
const BLANK_HALF = [48, 9] as const;

/** Labels blank water as not sounded, at the first place with enough room; empty when there is none. */
function blankLabel(
  { height }: LakeLayout,
  labels: MapLabels,
  isSounded: (place: FigurePlace) => boolean,
): string {
  const [wide, high] = BLANK_HALF.map((half) => half / ZOOM_LEVELS[0]);
  const taken = labels.takenAt(0);
  const place = cross(
    range(high + 10, height - high - 10, 20),
    range(wide + 10, MAP_WIDTH - wide - 60, 20),
  ).find(
    ([y, x]) =>
      cross([-1, -0.5, 0, 0.5, 1], [-1, 0, 1]).every(
        ([part, side]) => !isSounded([x + part * wide, y + side * high]),
      ) && taken.every(([tx, ty]) => Math.abs(tx - x) > wide + 10 || Math.abs(ty - y) > high * 2),
  );
  if (place === undefined) return '';
  return `<g ${moved([place[1], place[0]])}><text class="fix mid soft" dy=".35em">not sounded</text></g>`;
}
