import {
  type DepthGrid,
  type DisplayUnits,
  type EnrichedWaypoint,
  type SoundingIndex,
  toMeters,
} from '../../shared/contract/index.ts';
import { localFrame } from '../../shared/geo/index.ts';
import { depthNumber, depthRange, depthText, lengthUnit } from '../../shared/text/index.ts';
import { figureRoot, NORTH_ARROW } from './figure-root.ts';
import { PLAN_TINTS } from './figure-style.ts';
import { describePlan, statedBand } from './figure-words.ts';
import {
  chooseIsobaths,
  cropGrid,
  type FigureGrid,
  type IsobathDepths,
  isobathPath,
  soundedAt,
  traceIsobath,
} from './isobaths.ts';
import { type LabelPlace, placeOnLine } from './label-places.ts';
import { type NearSounding, type SurveyColumns, soundingsNear } from './near-soundings.ts';
import {
  drawBearings,
  drawCasts,
  drawMark,
  sidesOf,
  stepsAcross,
  type Taken,
  textWide,
} from './plan-casts.ts';
import { isInMap, MAP_SIZE, type PlanFrame, planFrame } from './plan-frame.ts';
import { distanceToNearest, type FigurePlace, pair, short, textElement } from './svg.ts';

/** What figures need in addition to the spot. */
export interface FigureContext {
  readonly units: DisplayUnits;
  readonly survey: SurveyColumns;
  readonly index: SoundingIndex;
  /** True for a separate file: the figure then includes its style, patterns and title. */
  readonly isStandalone?: boolean;
}

/** Height of the strip below the map for the scale bar and notes, figure units. */
const STRIP = 42;

/**
 * Plan view of a spot as an SVG string: isobaths, soundings, unsounded ground, mark, boats, casts, landings.
 *
 * True to scale, north up. The root carries `data-west`, `data-north` (m from the waypoint at the north-west
 * corner of the map) and `data-scale` (figure units per m), so that positions can be read back from the drawing.
 */
export function planFigure(spot: EnrichedWaypoint, context: FigureContext): string {
  const frame = planFrame(spot);
  const { bottom } = spot.fields;
  const local = localFrame(spot.waypoint.lat, spot.waypoint.lon);
  const soundings = soundingsNear(context.survey, context.index, local, frame.side * Math.SQRT2).filter(
    ({ east, north }) => isInMap(frame.toFigure(east, north)),
  );
  const taken: FigurePlace[] = [...ARROW_GROUND];
  const casts = drawCasts(spot, frame, context.units, taken);
  const mark = drawMark(spot, frame, context.units, taken);
  const bearings = drawBearings(spot, frame, context.units, taken);
  // A single pass shows depths only along itself, so they are written as numbers instead of isobaths.
  const hasSurface = bottom?.grid !== undefined && bottom.status !== 'one-pass';
  const ground = hasSurface ? drawGround(bottom.grid, spot, frame, context.units, taken) : undefined;
  const map = [
    `<path class="t0" d="${OUTLINE}"/>`,
    '<g clip-path="url(#ds-frame)">',
    ground?.markup ?? unsounded(),
    drawSoundings(soundings, frame),
    ground?.labels ?? spotDepths(soundings, frame, context.units, taken),
    casts,
    mark,
    bearings,
    '</g>',
    `<path class="frame" d="${OUTLINE}"/>`,
    `<g transform="translate(${pair(...ARROW)})">${NORTH_ARROW}</g>`,
    soundings.length === 0 ? NO_SOUNDINGS : '',
    scaleStrip(frame, context.units, ground?.isobaths),
    lureStrip(spot, context.units),
  ];
  return figureRoot(map.join(''), {
    width: MAP_SIZE,
    height: MAP_SIZE + STRIP,
    label: describePlan(spot, context.units),
    name: 'plan',
    data: { west: frame.west, north: frame.north, scale: frame.scale },
    isStandalone: context.isStandalone,
  });
}

interface Ground {
  readonly markup: string;
  readonly labels: string;
  readonly isobaths: IsobathDepths;
}

function drawGround(
  grid: DepthGrid,
  spot: EnrichedWaypoint,
  frame: PlanFrame,
  units: DisplayUnits,
  taken: Taken,
): Ground {
  const figureGrid = cropGrid(toFigureGrid(grid, grid.depth, frame), isInMap);
  const support = toFigureGrid(grid, innerSupport(grid), frame);
  const isSounded = soundedAt(support);
  const [from, to] = depthsInMap(grid, frame);
  const isobaths = chooseIsobaths(from, to, units, PLAN_TINTS);
  let areas = '';
  const fish = fishLabel(figureGrid, spot, units, taken, isSounded);
  let labels = '';
  for (const [i, depth] of isobaths.depths.entries()) {
    const isobath = traceIsobath(figureGrid, depth);
    if (isobath.path === '') continue;
    areas += isobathPath(isobath.path, depth, isobaths.tints[i]);
    const label = placeOnLine(isobath.lines, taken, 20, (place) => isInMap(place, 14) && isSounded(place));
    if (label === undefined) continue;
    taken.push(label.place);
    labels += turnedText(depthNumber(depth, units), label, 'mid');
  }
  const supported = traceIsobath(cropGrid(support, isInMap), 0.5);
  const markup = [
    `<g class="iso">${areas}</g>`,
    fishArea(figureGrid, spot),
    unsounded(supported.path),
    ownIsobaths(figureGrid, spot),
  ].join('');
  return { markup, labels: `<g class="iso">${labels}</g>${fish}`, isobaths };
}

/** A depth grid as a figure grid; its rows run from south to north. */
function toFigureGrid(grid: DepthGrid, values: ArrayLike<number>, frame: PlanFrame): FigureGrid {
  const half = (grid.size - 1) / 2;
  return {
    columns: grid.size,
    rows: grid.size,
    values,
    toFigure: (column, row) => frame.toFigure((column - half) * grid.cellSize, (row - half) * grid.cellSize),
  };
}

/** Minimum and maximum depth of sounded nodes inside the map, m. */
function depthsInMap(grid: DepthGrid, frame: PlanFrame): [number, number] {
  const { columns, toFigure } = toFigureGrid(grid, grid.depth, frame);
  let least = Number.POSITIVE_INFINITY;
  let greatest = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < grid.depth.length; k += 1) {
    if (grid.supported[k] === 0 || !isInMap(toFigure(k % columns, Math.floor(k / columns)))) continue;
    least = Math.min(least, grid.depth[k]);
    greatest = Math.max(greatest, grid.depth[k]);
  }
  return least <= greatest ? [least, greatest] : [0, 0];
}

/**
 * Support without the outermost nodes, so that drawing ends inside the grid, where contour pieces are true
 * isobaths and not the edge.
 */
function innerSupport({ size, supported }: DepthGrid): Float64Array {
  return Float64Array.from(supported, (value, k) => {
    const [column, row] = [k % size, Math.floor(k / size)];
    return column === 0 || row === 0 || column === size - 1 || row === size - 1 ? 0 : value;
  });
}

/** Area between the two isobaths of the fish band. */
function fishArea(grid: FigureGrid, { fields }: EnrichedWaypoint): string {
  const band = statedBand(fields);
  if (band === undefined) return '';
  const top = traceIsobath(grid, band.top);
  const bottom = traceIsobath(grid, band.bottom);
  if (top.path === '') return '';
  return `<path class="band edge" fill-rule="evenodd" d="${top.path}${bottom.path}"/>`;
}

/** Label with the depths of the fish, on the middle isobath of the band where that is long and free enough. */
function fishLabel(
  grid: FigureGrid,
  { fields }: EnrichedWaypoint,
  units: DisplayUnits,
  taken: Taken,
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

/** The isobaths at the depths of the two boat positions. */
function ownIsobaths(grid: FigureGrid, { fields }: EnrichedWaypoint): string {
  const draw = (side: 'D' | 'U', depth: number | undefined) => {
    const d = depth === undefined ? '' : traceIsobath(grid, depth).linePath;
    if (depth === undefined || d === '') return '';
    return `<g class="${side}"><path class="own" d="${d}" data-depth="${short(depth, 3)}"/></g>`;
  };
  return draw('D', fields.downslope?.boat.depth) + draw('U', fields.upslope?.boat.depth);
}

/** Minimum distance between two dots of one pass, figure units; closer soundings are not drawn. */
const DOT_SPACING = 4.5;

function drawSoundings(soundings: readonly NearSounding[], frame: PlanFrame): string {
  const last = new Map<number, FigurePlace>();
  let d = '';
  let [penX, penY] = [0, 0];
  for (const sounding of soundings) {
    const place = frame.toFigure(sounding.east, sounding.north);
    const before = last.get(sounding.pass);
    if (before !== undefined && Math.hypot(place[0] - before[0], place[1] - before[1]) < DOT_SPACING)
      continue;
    last.set(sounding.pass, place);
    const [x, y] = [Math.round(place[0]), Math.round(place[1])];
    d += `m${pair(x - penX, y - penY)}h0`;
    [penX, penY] = [x, y];
  }
  return d === '' ? '' : `<path class="snd" d="${d}"/>`;
}

/** Distance between two depths written along a pass, figure units. */
const DEPTH_SPACING = 46;

/** Depths of single soundings, written next to them when no surface can be drawn. */
function spotDepths(
  soundings: readonly NearSounding[],
  frame: PlanFrame,
  units: DisplayUnits,
  taken: Taken,
): string {
  let texts = '';
  for (const sounding of soundings) {
    const [x, y] = frame.toFigure(sounding.east, sounding.north);
    const place: FigurePlace = [x + 14, y];
    if (!isInMap(place, 14) || distanceToNearest(place, taken) < DEPTH_SPACING) continue;
    taken.push(place);
    texts += textElement(depthNumber(sounding.depth, units), [place[0], y + 3.4], 'mid');
  }
  return texts === '' ? '' : `<g class="spot-depths">${texts}</g>`;
}

/** Center of the north arrow, and places on it that labels must avoid. */
const ARROW: FigurePlace = [MAP_SIZE - 20, 24];
const ARROW_GROUND: readonly FigurePlace[] = [-10, 0, 10].flatMap((x) =>
  [-10, 0, 10].map((y): FigurePlace => [ARROW[0] + x, ARROW[1] + y]),
);

const NO_SOUNDINGS = textElement(
  'No soundings within this map',
  [MAP_SIZE / 2, MAP_SIZE / 2 + 40],
  'mid bold',
);

/** Lengths of scale bars, in the user's unit of length over the water. */
const BAR_LENGTHS = [10, 20, 25, 50, 100, 200];

/** Longest scale bar, figure units; the notes need the rest of the strip. */
const LONGEST_BAR = 110;

function scaleStrip(frame: PlanFrame, units: DisplayUnits, isobaths: IsobathDepths | undefined): string {
  const unit = lengthUnit(units);
  const fits = BAR_LENGTHS.filter((length) => toMeters(length, unit) * frame.scale <= LONGEST_BAR);
  const length = fits[fits.length - 1] ?? BAR_LENGTHS[0];
  const wide = toMeters(length, unit) * frame.scale;
  const y = MAP_SIZE + 10;
  const bar = `<path class="frame" d="M.5 ${y}v5h${short(wide)}v-5M${short(wide / 2)} ${y + 2}v3"/>`;
  const notes =
    isobaths === undefined ? `depths in ${units}` : `contours every ${isobaths.interval} ${units}`;
  return [
    bar,
    textElement(`${length} ${unit}`, [wide + 6, y + 7]),
    textElement(`${notes}; north up`, [MAP_SIZE, y + 7], 'end soft'),
  ].join('');
}

/**
 * The lure of each side with the depth it reaches, and the depths of the fish when the map shows no band for
 * them.
 */
function lureStrip({ fields }: EnrichedWaypoint, units: DisplayUnits): string {
  const lures = sidesOf(fields).map(([letter, plan], i) => {
    const text = `${letter} ${plan.lure.slice(0, 20)} to ${depthText(plan.lureDepth, units, ' ')}`;
    const y = MAP_SIZE + 36;
    const element = i > 0 ? textElement(text, [MAP_SIZE, y], 'end side') : textElement(text, [0, y], 'side');
    return `<g class="${letter}">${element}</g>`;
  });
  return lures.join('');
}
