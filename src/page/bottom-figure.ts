import { mean, range, sum } from 'd3-array';
import type { DepthGrid, EnrichedWaypoint } from '../../shared/contract/index.ts';
import { localFrame } from '../../shared/geo/index.ts';
import { bilinear } from '../../shared/math/index.ts';
import { type FigureContext, type NearSounding, soundingsNear } from './figure-context.ts';
import { bearingWords, spotName } from './figure-words.ts';
import {
  deepestOf,
  drawAxes,
  drawBottom,
  drawFooter,
  SECTION,
  type SectionLine,
  sectionFigure,
  sectionScale,
  WATER_LINE,
} from './section-frame.ts';
import { short, textElement } from './svg.ts';

/** Distance shown on either side of the mark, m. */
const REACH = 50;
/** Maximum distance of a drawn sounding from the section line, m. */
const BESIDE = 7;
/** Distance between the points of the drawn bottom, m. */
const STEP = 2;

/**
 * Draws a side view of the bottom at a spot that has no cast. The section runs down the modeled fall line or,
 * if no slope is known, along the main direction of the soundings. Distances are measured from the mark.
 */
export function bottomFigure(spot: EnrichedWaypoint, context: FigureContext): string {
  const { bottom } = spot.fields;
  const frame = localFrame(spot.waypoint.lat, spot.waypoint.lon);
  const near = soundingsNear(context, frame, REACH * 1.2);
  const along = bottom?.gradient === undefined ? longAxis(near) : unit(bottom.gradient);
  const line = sampleLine(bottom?.gradient === undefined ? undefined : bottom.grid, along);
  const dots = near
    .map((sounding) => ({
      ...sounding,
      distance: sounding.east * along[0] + sounding.north * along[1],
    }))
    .filter(
      ({ distance, east, north }) =>
        Math.abs(distance) <= REACH && Math.abs(east * along[1] - north * along[0]) <= BESIDE,
    );
  const deepest = Math.max(deepestOf(line), ...dots.map((dot) => dot.depth));
  const right = `right is ${bearingWords((Math.atan2(along[0], along[1]) * 180) / Math.PI, spot.fields.declination)}`;
  const what =
    bottom?.gradient === undefined
      ? `along the pass, ${right}`
      : spot.fields.aspect === undefined
        ? right
        : `straight down the slope, ${right}`;
  return deepest > 0 ? drawSection(spot, context, line, dots, deepest, what) : emptySection(spot, context);
}

function drawSection(
  spot: EnrichedWaypoint,
  context: FigureContext,
  line: SectionLine,
  dots: readonly { readonly distance: number; readonly depth: number }[],
  deepest: number,
  what: string,
): string {
  const scale = sectionScale(-REACH, REACH, deepest);
  const [x] = scale.toFigure(0, 0);
  const places = dots.map((dot) => scale.toFigure(dot.distance, dot.depth));
  const content = [
    drawAxes(scale, context.units),
    drawBottom(line, scale),
    WATER_LINE,
    `<path class="mark" d="M${short(x)} ${SECTION.top}v14"/>`,
    `<path class="snd" d="${places.map(([dotX, y]) => `M${short(dotX)} ${short(y)}h0`).join('')}"/>`,
    textElement('mark', [x, SECTION.top - 8], 'mid bold'),
    // Below the water surface, the text could hide soundings.
    textElement(`bottom: ${what}`, [SECTION.edge, SECTION.top - 23], 'end soft'),
    drawFooter(line, scale),
  ];
  const label = `Side view of the bottom at ${spotName(spot)}: ${what}. No cast planned.`;
  return sectionFigure(content, { name: 'side-bottom', label, isStandalone: context.isStandalone }, scale);
}

function emptySection(spot: EnrichedWaypoint, context: FigureContext): string {
  const middle = (SECTION.top + SECTION.bottom) / 2;
  const { axis, edge, top, bottom } = SECTION;
  const content = [
    `<path class="hatch" d="M${axis} ${top}H${edge}V${bottom}H${axis}Z"/>`,
    `<path class="frame" d="M${axis} ${top}H${edge}V${bottom}H${axis}Z"/>`,
    textElement('No sonar here: the bottom is not known', [(axis + edge) / 2, middle], 'mid bold'),
  ];
  const label = `No side view of ${spotName(spot)}: no sonar near the mark.`;
  return sectionFigure(content, { name: 'side-empty', label, isStandalone: context.isStandalone });
}

type Direction = readonly [east: number, north: number];

const unit = ([east, north]: Direction): Direction => {
  const length = Math.hypot(east, north);
  return length === 0 ? [0, 1] : [east / length, north / length];
};

/** Returns the unit vector along which the soundings spread most, the major axis of their scatter. */
function longAxis(near: readonly NearSounding[]): Direction {
  const [middleEast, middleNorth] = [mean(near, ({ east }) => east)!, mean(near, ({ north }) => north)!];
  const ee = sum(near, ({ east }) => (east - middleEast) ** 2);
  const en = sum(near, ({ east, north }) => (east - middleEast) * (north - middleNorth));
  const nn = sum(near, ({ north }) => (north - middleNorth) ** 2);
  if (!(ee + nn > 0)) return [0, 1];
  const turn = Math.atan2(2 * en, ee - nn) / 2;
  return [Math.cos(turn), Math.sin(turn)];
}

/** Samples the modeled bottom along a line through the mark; NaN near nodes that soundings do not support. */
function sampleLine(grid: DepthGrid | undefined, [ux, uy]: Direction): SectionLine {
  if (grid === undefined) return { distance: NONE, bottom: NONE, bottomSd: NONE };
  const { size, cellSize, supported } = grid;
  const half = (size - 1) / 2;
  const lattice = { columns: size, rows: size };
  const distance = Float64Array.from(range(-REACH, REACH + STEP, STEP));
  const sample = (values: Float64Array) => {
    const known = values.map((value, k) => (supported[k] === 0 ? Number.NaN : value));
    return distance.map((along) =>
      bilinear(lattice, known, (along * ux) / cellSize + half, (along * uy) / cellSize + half),
    );
  };
  return { distance, bottom: sample(grid.depth), bottomSd: sample(grid.sd) };
}

const NONE = new Float64Array(0);
