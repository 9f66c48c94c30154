import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { CastPlan } from '../../shared/retrieve/cast-plan.ts';
import type { DisplayUnits } from '../../shared/units.ts';
import { bearingDigits, depthText, lengthText } from '../writers/quantity.ts';
import { touchedPieces } from './contact.ts';
import { uprightTurn } from './label-places.ts';
import { isInMap, type PlanFrame } from './plan-frame.ts';
import { distanceToNearest, type FigurePlace, linePath, pair, short, textElement } from './svg.ts';

/** Places that labels keep clear of; drawing adds to it. */
export type Taken = FigurePlace[];

/** Letter of a side, as in the names of the partner waypoints. */
export type SideLetter = 'D' | 'U';

/** Offset, figure units, of the contact bar and of the text from the cast line, to its right as seen from the boat. */
const RAIL_OFFSET = 5;
const TEXT_OFFSET = 15;

/** Both casts and the next angles: lines first, then symbols, then labels, so that labels stay readable. */
export function drawCasts(
  { fields }: EnrichedWaypoint,
  frame: PlanFrame,
  units: DisplayUnits,
  taken: Taken,
): string {
  const sides: [SideLetter, CastPlan][] = [];
  if (fields.downslope !== undefined) sides.push(['D', fields.downslope]);
  if (fields.upslope !== undefined) sides.push(['U', fields.upslope]);
  for (const [, plan] of sides) {
    takeLine(plan, frame, taken);
    for (const share of [0.15, 0.25, 0.35, 0.45])
      taken.push(placeAlong(plan, frame, plan.cast * share, TEXT_OFFSET));
  }
  const declination = fields.declination;
  return [
    drawNextAngles(fields.angles ?? [], frame, taken),
    ...sides.map(([letter, plan]) => drawLines(letter, plan, frame)),
    ...sides.map(([letter, plan]) => drawEnds(letter, plan, frame, units, taken)),
    ...sides.map(([letter, plan]) => drawBearing(letter, plan, frame, units, declination)),
  ].join('');
}

/** Ring and cross at the waypoint, with its depth. */
export function drawMark(
  { fields }: EnrichedWaypoint,
  frame: PlanFrame,
  units: DisplayUnits,
  taken: Taken,
): string {
  const place = frame.toFigure(0, 0);
  const d = 'M-10 0h6M4 0h6M0-10v6M0 4v6M4 0a4 4 0 1 1-8 0a4 4 0 1 1 8 0';
  const text = fields.depth === undefined ? 'mark' : `mark ${depthText(fields.depth, units, ' ')}`;
  taken.push(place);
  return [
    `<g data-mark="1" transform="translate(${pair(...place)})"><path class="halo" d="${d}"/><path class="mark" d="${d}"/></g>`,
    labelBeside(text, place, 15, taken, 'bold'),
  ].join('');
}

const placeOf = (spot: { readonly east: number; readonly north: number }, frame: PlanFrame): FigurePlace =>
  frame.toFigure(spot.east, spot.north);

/** Place on a cast, figure units: `along` m from the boat, `right` figure units to the right of the line. */
function placeAlong(plan: CastPlan, frame: PlanFrame, along: number, right = 0): FigurePlace {
  const [x0, y0] = placeOf(plan.boat, frame);
  const [x1, y1] = placeOf(plan.landing, frame);
  const length = Math.hypot(x1 - x0, y1 - y0) || 1;
  const [ux, uy] = [(x1 - x0) / length, (y1 - y0) / length];
  const share = (along / plan.cast) * length;
  return [x0 + ux * share - uy * right, y0 + uy * share + ux * right];
}

function takeLine(plan: CastPlan, frame: PlanFrame, taken: Taken): void {
  for (let share = 0; share <= 1; share += 0.08) taken.push(placeAlong(plan, frame, share * plan.cast));
}

function drawLines(letter: SideLetter, plan: CastPlan, frame: PlanFrame): string {
  const rails = touchedPieces(plan)
    .map(([from, to]) => linePath([from, to].map((along) => placeAlong(plan, frame, along, RAIL_OFFSET))))
    .join('');
  const cast = linePath([placeOf(plan.boat, frame), placeOf(plan.landing, frame)]);
  return `<g class="${letter}"><path class="cast" d="${cast}"/>${rails === '' ? '' : `<path class="rail" d="${rails}"/>`}</g>`;
}

/** Hull seen from above, bow up. */
const HULL = 'M0-11C4.5-6 5 1 4 8H-4C-5 1-4.5-6 0-11Z';

function drawEnds(
  letter: SideLetter,
  plan: CastPlan,
  frame: PlanFrame,
  units: DisplayUnits,
  taken: Taken,
): string {
  const boat = placeOf(plan.boat, frame);
  const landing = placeOf(plan.landing, frame);
  const turn = (Math.atan2(landing[0] - boat[0], boat[1] - landing[1]) * 180) / Math.PI;
  const length = Math.hypot(landing[0] - boat[0], landing[1] - boat[1]) || 1;
  const onward: FigurePlace = [(landing[0] - boat[0]) / length, (landing[1] - boat[1]) / length];
  taken.push(boat, landing);
  const labels = [
    labelBeside(`${letter} ${depthText(plan.boat.depth, units, ' ')}`, boat, 17, taken, 'bold side', [
      -onward[0],
      -onward[1],
    ]),
    labelBeside(depthText(plan.landing.depth, units, ' '), landing, 12, taken, 'side', onward),
  ];
  return [
    `<g class="${letter}">`,
    `<g data-boat="${letter}" transform="translate(${pair(...boat)})"><path class="boat" d="${HULL}" transform="rotate(${short(turn, 0)})"/></g>`,
    `<path class="land" data-landing="${letter}" transform="translate(${pair(...landing)})" d="M0-5L5 0L0 5L-5 0Z"/>`,
    ...labels,
    '</g>',
  ].join('');
}

/** Bearing and length, set along the line on the boat's half. */
function drawBearing(
  letter: SideLetter,
  plan: CastPlan,
  frame: PlanFrame,
  units: DisplayUnits,
  declination: number | undefined,
): string {
  const north = declination === undefined ? 'T' : 'M';
  const bearing = bearingDigits(plan.bearing - (declination ?? 0));
  const [x, y] = placeAlong(plan, frame, plan.cast * 0.3, TEXT_OFFSET);
  const [x0, y0] = placeOf(plan.boat, frame);
  const [x1, y1] = placeOf(plan.landing, frame);
  const turn = uprightTurn((Math.atan2(y1 - y0, x1 - x0) * 180) / Math.PI);
  const text = `${bearing}\u00b0${north} ${lengthText(plan.cast, units, ' ')}`;
  return `<g class="${letter}"><text class="mid side" dy=".35em" transform="translate(${pair(x, y)})rotate(${short(turn, 0)})">${text}</text></g>`;
}

function drawNextAngles(angles: readonly CastPlan[], frame: PlanFrame, taken: Taken): string {
  if (angles.length === 0) return '';
  const lines = angles.map(
    (plan) => `<path d="${linePath([placeOf(plan.boat, frame), placeOf(plan.landing, frame)])}"/>`,
  );
  const ends = angles.map((plan, i) => {
    const place = placeOf(plan.boat, frame);
    taken.push(place);
    return `<g data-angle="${i + 1}" transform="translate(${pair(...place)})"><circle r="6.5"/><text class="mid" y="3.2">${i + 1}</text></g>`;
  });
  return `<g class="next">${lines.join('')}${ends.join('')}</g>`;
}

/** Width of text at the figure's size, figure units, near enough to keep labels apart. */
const textWide = (text: string): number => text.length * 5.9;

/**
 * Label next to a symbol, on the side that is farthest from everything already there.
 *
 * @param toward Side to prefer where there is room on several, as a direction of length 1.
 */
function labelBeside(
  text: string,
  [x, y]: FigurePlace,
  away: number,
  taken: Taken,
  style: string,
  toward: FigurePlace = [0, 0],
): string {
  const half = textWide(text) / 2;
  let best: FigurePlace | undefined;
  let bestRoom = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < 36; k += 1) {
    const [sin, cos] = [Math.sin((k * Math.PI) / 6), Math.cos((k * Math.PI) / 6)];
    const off = away + 5 * Math.floor(k / 12);
    // The text is wider than high: to the side it has to stand farther off.
    const center: FigurePlace = [x + sin * (off - 5 + half), y - cos * off];
    const box: FigurePlace[] = [center, [center[0] - half, center[1]], [center[0] + half, center[1]]];
    const room = Math.min(...box.map((corner) => distanceToNearest(corner, taken)));
    // Beyond a clear hand's breadth nearness counts more than room.
    const score =
      Math.min(room, 14) +
      5 * (sin * toward[0] - cos * toward[1]) -
      (off - away) * 0.3 -
      (box.every((corner) => isInMap(corner, 7)) ? 0 : 1000);
    if (score > bestRoom) [bestRoom, best] = [score, center];
  }
  const center = best ?? [x, y];
  taken.push(center, [center[0] - half * 0.7, center[1]], [center[0] + half * 0.7, center[1]]);
  return textElement(text, [center[0], center[1] + 4], {
    class: `mid ${style}`,
  });
}
