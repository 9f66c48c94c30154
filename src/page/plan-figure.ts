import { extent } from 'd3-array';
import { type DepthGrid, type EnrichedWaypoint, toMeters } from '../../shared/contract/index.ts';
import { localFrame } from '../../shared/geo/index.ts';
import { depthNumber, depthRange, depthText, lengthUnit } from '../../shared/text/index.ts';
import { type FigureContext, type NearSounding, soundingsNear } from './figure-context.ts';
import { figureRoot, NORTH_ARROW } from './figure-root.ts';
import { PLAN_TINTS } from './figure-style.ts';
import { describePlan, statedBand } from './figure-words.ts';
import {
  chooseIsobaths,
  cropGrid,
  drawIsobaths,
  type FigureGrid,
  type IsobathDepths,
  soundedAt,
  traceIsobath,
} from './isobaths.ts';
import { type LabelPlace, placeOnLine } from './label-places.ts';
import { drawBearings, drawCasts, drawMark, sidesOf, stepsAcross, textWide } from './plan-casts.ts';
import { isInMap, MAP_SIZE, type PlanView, planView } from './plan-frame.ts';
import { distanceToNearest, type FigurePlace, moved, pair, short, textElement } from './svg.ts';

/** Place of a text below a mark in the middle of the map. */
const UNDER_MARK: FigurePlace = [MAP_SIZE / 2, MAP_SIZE / 2 + 40];

/** Height of the strip below the map for the scale bar and notes, figure units. */
const STRIP = 42;

/**
 * Draws the plan view of a spot, true to scale and north up: isobaths or single depths, fish area, soundings,
 * unsounded ground, mark, boats, casts, landings and next angles.
 *
 * The root carries `data-west` and `data-north`, the northwest corner of the map in m east and north of the
 * waypoint, and `data-scale`, figure units per m, so that positions can be read back from the drawing.
 */
export function planFigure(spot: EnrichedWaypoint, context: FigureContext): string {
  const view = planView(spot, context.units);
  const { west, north, scale, toFigure, taken } = view;
  const { bottom } = spot.fields;
  const local = localFrame(spot.waypoint.lat, spot.waypoint.lon);
  const soundings = soundingsNear(context, local, view.side * Math.SQRT2).filter((sounding) =>
    isInMap(toFigure(sounding.east, sounding.north)),
  );
  taken.push(...ARROW_GROUND);
  const casts = drawCasts(view);
  const mark = drawMark(view);
  const bearings = drawBearings(view);
  // A single pass shows depths only along itself, so depths are written as numbers instead of isobaths.
  const hasSurface = bottom?.grid !== undefined && bottom.status !== 'one-pass';
  const ground = hasSurface ? drawGround(bottom.grid, view) : undefined;
  const map = [
    `<path class="t0" d="${OUTLINE}"/>`,
    '<g clip-path="url(#ds-frame)">',
    ground?.markup ?? unsounded(),
    drawSoundings(soundings, view),
    ground?.labels ?? spotDepths(soundings, view),
    casts,
    mark,
    bearings,
    '</g>',
    `<path class="frame" d="${OUTLINE}"/>`,
    `<g ${moved(ARROW)}>${NORTH_ARROW}</g>`,
    soundings.length === 0 ? textElement('No sonar within this map', UNDER_MARK, 'mid bold') : '',
    scaleStrip(view, ground?.isobaths),
    lureStrip(view),
  ];
  return figureRoot(map.join(''), {
    width: MAP_SIZE,
    height: MAP_SIZE + STRIP,
    label: describePlan(spot, context.units),
    name: 'plan',
    data: { west, north, scale },
    isStandalone: context.isStandalone,
  });
}

function drawGround(grid: DepthGrid, view: PlanView) {
  const { fields, units, taken } = view;
  const onFigure = (values: FigureGrid['values']): FigureGrid => {
    const half = (grid.size - 1) / 2;
    const toFigure = (column: number, row: number): FigurePlace =>
      view.toFigure((column - half) * grid.cellSize, (row - half) * grid.cellSize);
    return { columns: grid.size, rows: grid.size, values, toFigure };
  };
  const whole = onFigure(grid.depth);
  const depths = cropGrid(whole, isInMap);
  const support = onFigure(innerSupport(grid));
  const isSounded = soundedAt(support);
  const shown = whole.values.filter(
    (_, k) => grid.supported[k] !== 0 && isInMap(whole.toFigure(k % grid.size, Math.floor(k / grid.size))),
  );
  const [from = 0, to = 0] = extent(shown);
  const isobaths = chooseIsobaths(from, to, units, PLAN_TINTS);
  const fish = fishLabel(depths, view, isSounded);
  const { markup, lines } = drawIsobaths(depths, isobaths);
  const labels = isobaths.depths.map((depth, i) => {
    const label = placeOnLine(lines[i], taken, 20, (place) => isInMap(place, 14) && isSounded(place));
    if (label === undefined) return '';
    taken.push(label.place);
    return turnedText(depthNumber(depth, units), label, 'mid');
  });
  const supported = traceIsobath(cropGrid(support, isInMap), 0.5);
  return {
    markup: `${markup}${fishArea(depths, fields)}${unsounded(supported.path)}${ownIsobaths(depths, fields)}`,
    labels: `<g class="iso">${labels.join('')}</g>${fish}`,
    isobaths,
  };
}

/** Removes support from the outermost nodes, where outlines follow the grid's edge instead of an isobath. */
function innerSupport({ size, supported }: DepthGrid): Float64Array {
  return Float64Array.from(supported, (value, k) => {
    const [column, row] = [k % size, Math.floor(k / size)];
    return column === 0 || row === 0 || column === size - 1 || row === size - 1 ? 0 : value;
  });
}

function fishArea(grid: FigureGrid, fields: EnrichedWaypoint['fields']): string {
  const band = statedBand(fields);
  if (band === undefined) return '';
  const [top, bottom] = [band.top, band.bottom].map((depth) => traceIsobath(grid, depth).path);
  return top === '' ? '' : `<path class="band edge" fill-rule="evenodd" d="${top}${bottom}"/>`;
}

/** Writes the fish depths on the isobath midway between them; empty when there is no room. */
function fishLabel(
  grid: FigureGrid,
  { fields, units, taken }: PlanView,
  isSounded: (place: FigurePlace) => boolean,
): string {
  const band = statedBand(fields);
  if (band === undefined) return '';
  const { lines } = traceIsobath(grid, (band.top + band.bottom) / 2);
  const text = `fish ${depthRange(band.top, band.bottom, units, ' ', '\u2013')}`;
  const half = textWide(text) / 2;
  const label = placeOnLine(lines, taken, 30, (place) => isInMap(place, half) && isSounded(place));
  if (label === undefined) return '';
  const turn = (label.turn * Math.PI) / 180;
  for (const step of stepsAcross(half))
    taken.push([label.place[0] + step * Math.cos(turn), label.place[1] + step * Math.sin(turn)]);
  return turnedText(text, label, 'fish mid');
}

const turnedText = (text: string, { place, turn }: LabelPlace, style: string): string =>
  `<text class="${style}" dy=".35em" transform="translate(${pair(...place)})rotate(${short(turn, 0)})">${text}</text>`;

const OUTLINE = `M0 0H${MAP_SIZE}V${MAP_SIZE}H0Z`;

/** Hatches everything outside the sounded area. @param sounded Path data of the area. */
const unsounded = (sounded = ''): string =>
  `<path class="hatch" fill-rule="evenodd" d="${OUTLINE}${sounded}"/>`;

const ownIsobaths = (grid: FigureGrid, fields: EnrichedWaypoint['fields']): string =>
  sidesOf(fields)
    .map(([letter, { boat }]) => {
      const { linePath } = traceIsobath(grid, boat.depth);
      if (linePath === '') return '';
      return `<g class="${letter}"><path class="own" d="${linePath}" data-depth="${short(boat.depth, 3)}"/></g>`;
    })
    .join('');

/** Minimum distance between successive dots of one pass, figure units; closer soundings are not drawn. */
const DOT_SPACING = 4.5;

function drawSoundings(soundings: readonly NearSounding[], { toFigure }: PlanView): string {
  const last = new Map<number, FigurePlace>();
  let d = '';
  let [penX, penY] = [0, 0];
  for (const { east, north, pass } of soundings) {
    const place = toFigure(east, north);
    const [beforeX, beforeY] = last.get(pass) ?? [Infinity, Infinity];
    if (Math.hypot(place[0] - beforeX, place[1] - beforeY) < DOT_SPACING) continue;
    last.set(pass, place);
    const [x, y] = place.map(Math.round);
    d += `m${pair(x - penX, y - penY)}h0`;
    [penX, penY] = [x, y];
  }
  return d === '' ? '' : `<path class="snd" d="${d}"/>`;
}

/** Minimum distance from a written depth to any taken place, figure units. */
const DEPTH_SPACING = 46;

/** Writes the depths of single soundings next to their dots, for a map without isobaths. */
function spotDepths(soundings: readonly NearSounding[], { units, taken, toFigure }: PlanView): string {
  const texts = soundings.map(({ east, north, depth }) => {
    const [x, y] = toFigure(east, north);
    const place: FigurePlace = [x + 14, y];
    if (!isInMap(place, 14) || distanceToNearest(place, taken) < DEPTH_SPACING) return '';
    taken.push(place);
    return textElement(depthNumber(depth, units), [place[0], y + 3.4], 'mid');
  });
  const text = texts.join('');
  return text === '' ? '' : `<g class="spot-depths">${text}</g>`;
}

const ARROW: FigurePlace = [MAP_SIZE - 20, 24];
/** Places on the north arrow that labels must avoid. */
const ARROW_GROUND = [-10, 0, 10].flatMap((x) =>
  [-10, 0, 10].map((y): FigurePlace => [ARROW[0] + x, ARROW[1] + y]),
);

/** Lengths of scale bars, in yd when depths are in feet, else in m. */
const BAR_LENGTHS = [10, 20, 25, 50, 100, 200];

/** Maximum length of the scale bar, figure units; the notes need the rest of the strip. */
const LONGEST_BAR = 110;

function scaleStrip({ units, scale }: PlanView, isobaths: IsobathDepths | undefined): string {
  const unit = lengthUnit(units);
  const bars = BAR_LENGTHS.map((length) => [toMeters(length, unit) * scale, length] as const);
  const [wide, length] = bars.findLast(([each]) => each <= LONGEST_BAR) ?? bars[0];
  const y = MAP_SIZE + 10;
  const notes =
    isobaths === undefined ? `depths in ${units}` : `contours every ${isobaths.interval} ${units}`;
  return [
    `<path class="frame" d="M.5 ${y}v5h${short(wide)}v-5M${short(wide / 2)} ${y + 2}v3"/>`,
    textElement(`${length} ${unit}`, [wide + 6, y + 7]),
    textElement(`${notes}; north up`, [MAP_SIZE, y + 7], 'end soft'),
  ].join('');
}

function lureStrip({ fields, units }: PlanView): string {
  const lures = sidesOf(fields).map(([letter, plan], i) => {
    const text = `${letter} ${plan.lure.slice(0, 20)} to ${depthText(plan.lureDepth, units, ' ')}`;
    const [x, style] = i > 0 ? [MAP_SIZE, 'end side'] : [0, 'side'];
    return `<g class="${letter}">${textElement(text, [x, MAP_SIZE + 36], style)}</g>`;
  });
  return lures.join('');
}
