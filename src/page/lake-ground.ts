import type { DisplayUnits } from '../../shared/contract/index.ts';
import type { LocalFrame } from '../../shared/geo/index.ts';
import type { LakeGrid } from '../../shared/lake/index.ts';
import { depthNumber } from '../../shared/text/index.ts';
import { FIGURE_TINTS } from './figure-style.ts';
import {
  chooseIsobaths,
  type FigureGrid,
  type IsobathDepths,
  isobathPath,
  soundedAt,
  traceIsobath,
} from './isobaths.ts';
import { placeOnLine } from './label-places.ts';
import { type LakeLayout, MAP_WIDTH } from './lake-layout.ts';
import { type MapLabels, ZOOM_LEVELS } from './map-labels.ts';
import { type DepthsOnGrid, overviewGrid } from './overview-grid.ts';
import type { ReportInput } from './report-input.ts';
import { type FigurePlace, pair, short } from './svg.ts';

/** Depths of the whole lake on figure grids. */
interface Ground {
  /** Depth, m; extends slightly beyond the sounded area so that isobaths reach its edge. */
  readonly depth: FigureGrid;
  /** 1 in the sounded area, else 0. */
  readonly sounded: FigureGrid;
}

/** The bottom as drawn on the map. */
export interface LakeGround {
  readonly markup: string;
  readonly labels: string;
  readonly isobaths: IsobathDepths;
  /** Least and greatest depth shown, m. */
  readonly depths: readonly [number, number];
}

/** Draws tints, isobaths and blank unsounded water; isobath labels avoid everything already placed. */
export function drawLakeGround(input: ReportInput, layout: LakeLayout, labels: MapLabels): LakeGround {
  const { depth, sounded } = groundOf(input, layout);
  const shown = Array.from(depth.values)
    .filter((value, k) => sounded.values[k] === 1 && Number.isFinite(value))
    .sort((a, b) => a - b);
  // Between the last soundings and the shore, the model may rise above the water.
  const depths = [Math.max(0, shown[0] ?? 0), Math.max(0, shown[shown.length - 1] ?? 0)] as const;
  const isobaths = chooseIsobaths(...depths, input.units, FIGURE_TINTS, 0.9);
  const traced = isobaths.depths.map((each) => traceIsobath(depth, each));
  const areas = traced.map(({ path }, i) =>
    path === '' ? '' : isobathPath(path, isobaths.depths[i], isobaths.tints[i]),
  );
  const edge = traceIsobath(sounded, 0.5).path;
  const outline = `M-9-9H${MAP_WIDTH + 9}V${short(layout.height + 9)}H-9Z`;
  const isSounded = soundedAt(sounded);
  return {
    markup: `<g class="iso">${areas.join('')}</g><path class="blank" fill-rule="evenodd" d="${outline}${edge}"/>`,
    labels: `<g class="iso">${isobathLabels(traced, isobaths, input.units, layout, labels, isSounded)}${blankLabel(layout, labels, isSounded)}</g>`,
    isobaths,
    depths,
  };
}

function groundOf({ lake, survey }: ReportInput, layout: LakeLayout): Ground {
  const { columns, rows, depth, sounded, toLocal } =
    lake === undefined
      ? overviewGrid(survey, layout.frame, layout.extent)
      : depthsOfModel(lake.grid, layout.frame);
  const toFigure = (column: number, row: number): FigurePlace => layout.toFigure(...toLocal(column, row));
  const grid = { columns, rows, toFigure };
  return { depth: { ...grid, values: depth }, sounded: { ...grid, values: sounded } };
}

function depthsOfModel(grid: LakeGrid, frame: LocalFrame): DepthsOnGrid {
  const [c, s] = [Math.cos(grid.axis), Math.sin(grid.axis)];
  const sounded = Float64Array.from(grid.depth, (value) => (Number.isNaN(value) ? 0 : 1));
  let depth: Float64Array = Float64Array.from(grid.depth);
  for (let ring = 0; ring < 2; ring += 1) depth = grown(depth, grid.columns);
  return {
    columns: grid.columns,
    rows: grid.rows,
    depth,
    sounded,
    toLocal(column, row) {
      const [x, y] = [grid.x0 + column * grid.cell, grid.y0 + row * grid.cell];
      return frame.toLocal(...grid.frame.toGeographic(c * x - s * y, s * x + c * y));
    },
  };
}

/** Extends known depths by one ring of nodes, each the mean of its known neighbors. */
function grown(depth: Float64Array, columns: number): Float64Array {
  return depth.map((value, k) => {
    if (!Number.isNaN(value)) return value;
    let [sum, count] = [0, 0];
    for (const step of [-1, 1, -columns, columns]) {
      const wraps = Math.abs(step) === 1 && Math.floor((k + step) / columns) !== Math.floor(k / columns);
      const other = depth[k + step];
      if (wraps || other === undefined || Number.isNaN(other)) continue;
      [sum, count] = [sum + other, count + 1];
    }
    return count === 0 ? Number.NaN : sum / count;
  });
}

/** Number of labels that each zoom level adds to an isobath. */
const LABELS_BY_LEVEL = [1, 2, 3, 4];
/** Minimum distance between a label and anything else, px. */
const CLEAR = 24;

function isobathLabels(
  traced: readonly { readonly lines: readonly FigurePlace[][] }[],
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
    // Index isobaths get the first choice of the remaining places.
    const order = [...traced.keys()].sort(
      (a, b) => Number(tints[a] === undefined) - Number(tints[b] === undefined),
    );
    for (const i of order) {
      for (let k = 0; k < count; k += 1) {
        const label = placeOnLine(traced[i].lines, taken, CLEAR / ZOOM_LEVELS[level], isAllowed);
        if (label === undefined) break;
        taken.push(label.place);
        labels.take(label.place);
        markup += `<g class="n${level}" transform="translate(${pair(...label.place)})rotate(${short(label.turn, 0)})"><text class="fix mid" dy=".35em">${depthNumber(depths[i], units)}</text></g>`;
      }
    }
  }
  return markup;
}

/** Half the width and height of the text on blank water, px. */
const BLANK_HALF = [48, 9] as const;

/**
 * Label that says blank water is not sounded, at the first place with enough blank water around it; empty when
 * there is none.
 */
function blankLabel(
  { height }: LakeLayout,
  labels: MapLabels,
  isSounded: (place: FigurePlace) => boolean,
): string {
  const [wide, high] = BLANK_HALF.map((half) => half / ZOOM_LEVELS[0]);
  const taken = labels.takenAt(0);
  for (let y = high + 10; y < height - high - 10; y += 20) {
    for (let x = wide + 10; x < MAP_WIDTH - wide - 60; x += 20) {
      const isFree =
        [-1, -0.5, 0, 0.5, 1].every((part) =>
          [-1, 0, 1].every((side) => !isSounded([x + part * wide, y + side * high])),
        ) && taken.every(([tx, ty]) => Math.abs(tx - x) > wide + 10 || Math.abs(ty - y) > high * 2);
      if (isFree)
        return `<g transform="translate(${pair(x, y)})"><text class="fix mid soft" dy=".35em">not sounded</text></g>`;
    }
  }
  return '';
}
