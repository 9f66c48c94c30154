import type { CastPlan, DisplayUnits, EnrichedWaypoint } from '../../shared/contract/index.ts';
import type { SideLetter } from '../../shared/day/index.ts';
import { bearingDigits, depthText, lengthText } from '../../shared/text/index.ts';
import { contactSegments } from './contact.ts';
import { uprightTurn } from './label-places.ts';
import { isInMap, type PlanFrame } from './plan-frame.ts';
import { distanceToNearest, type FigurePlace, linePath, pair, short, textElement } from './svg.ts';

/** Places that labels must avoid; drawing adds to the list. */
export type Taken = FigurePlace[];

/** Offset of the contact bar to the right of the cast line, seen from the boat, figure units. */
const RAIL_OFFSET = 5;

/** Draws both casts and the next angles: lines first, then symbols, then labels, so that labels stay readable. */
export function drawCasts(
  { fields }: EnrichedWaypoint,
  frame: PlanFrame,
  units: DisplayUnits,
  taken: Taken,
): string {
  const sides = sidesOf(fields);
  for (const [, plan] of sides) {
    for (let share = 0; share <= 1; share += 0.08) taken.push(placeAlong(plan, frame, share * plan.cast));
    taken.push(placeOf(plan.boat, frame), placeOf(plan.landing, frame));
  }
  taken.push(frame.toFigure(0, 0));
  return [
    drawNextAngles(fields.angles ?? [], sides, frame, taken),
    ...sides.map(([letter, plan]) => drawLines(letter, plan, frame)),
    ...sides.map(([letter, plan]) => drawEnds(letter, plan, frame, units, taken)),
  ].join('');
}

/** Writes bearing and length of both casts along their lines, where there is most room. */
export function drawBearings(
  { fields }: EnrichedWaypoint,
  frame: PlanFrame,
  units: DisplayUnits,
  taken: Taken,
): string {
  const { declination } = fields;
  const north = declination === undefined ? 'T' : 'M';
  const texts = sidesOf(fields).map(([letter, plan]) => {
    const bearing = bearingDigits(plan.bearing - (declination ?? 0));
    const text = `${bearing}\u00b0${north} ${lengthText(plan.cast, units, ' ')}`;
    const { toward } = castLine(plan, frame);
    const turn = uprightTurn((Math.atan2(toward[1], toward[0]) * 180) / Math.PI);
    const [x, y] = bearingPlace(plan, frame, textWide(text) / 2, taken);
    return `<g class="${letter}"><text class="mid side" dy=".35em" transform="translate(${pair(x, y)})rotate(${short(turn, 0)})">${text}</text></g>`;
  });
  return texts.join('');
}

/** The casts of a spot from its two sides, with their letters. */
export const sidesOf = ({ downslope, upslope }: EnrichedWaypoint['fields']): [SideLetter, CastPlan][] => [
  ...(downslope === undefined ? [] : [['D', downslope] satisfies [SideLetter, CastPlan]]),
  ...(upslope === undefined ? [] : [['U', upslope] satisfies [SideLetter, CastPlan]]),
];

/** Draws a ring and cross at the waypoint, with its depth. */
export function drawMark(
  { fields }: EnrichedWaypoint,
  frame: PlanFrame,
  units: DisplayUnits,
  taken: Taken,
): string {
  const place = frame.toFigure(0, 0);
  const d = 'M-10 0h6M4 0h6M0-10v6M0 4v6M4 0a4 4 0 1 1-8 0a4 4 0 1 1 8 0';
  const text = fields.depth === undefined ? 'mark' : `mark ${depthText(fields.depth, units, ' ')}`;
  return [
    `<g data-mark="1" transform="translate(${pair(...place)})"><path class="halo" d="${d}"/><path class="mark" d="${d}"/></g>`,
    labelBeside(text, place, 15, taken, 'bold'),
  ].join('');
}

const placeOf = (spot: { readonly east: number; readonly north: number }, frame: PlanFrame): FigurePlace =>
  frame.toFigure(spot.east, spot.north);

/** A cast as drawn: its ends, and the way from the boat to the landing as a vector and a unit vector. */
function castLine(plan: CastPlan, frame: PlanFrame) {
  const [boat, landing] = [placeOf(plan.boat, frame), placeOf(plan.landing, frame)];
  const toward: FigurePlace = [landing[0] - boat[0], landing[1] - boat[1]];
  const length = Math.hypot(...toward) || 1;
  const unit: FigurePlace = [toward[0] / length, toward[1] / length];
  return { boat, landing, toward, length, unit };
}

/** Place on a cast, figure units: `along` m from the boat, `right` figure units to the right of the line. */
function placeAlong(plan: CastPlan, frame: PlanFrame, along: number, right = 0): FigurePlace {
  const { boat, length, unit } = castLine(plan, frame);
  const share = (along / plan.cast) * length;
  return [boat[0] + unit[0] * share - unit[1] * right, boat[1] + unit[1] * share + unit[0] * right];
}

function drawLines(letter: SideLetter, plan: CastPlan, frame: PlanFrame): string {
  const rails = contactSegments(plan)
    .map(([from, to]) => linePath([from, to].map((along) => placeAlong(plan, frame, along, RAIL_OFFSET))))
    .join('');
  const { boat, landing } = castLine(plan, frame);
  const cast = linePath([boat, landing]);
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
  const { boat, landing, toward, unit } = castLine(plan, frame);
  const turn = (Math.atan2(toward[0], -toward[1]) * 180) / Math.PI;
  const boatText = `${letter} ${depthText(plan.boat.depth, units, ' ')}`;
  const labels = [
    labelBeside(boatText, boat, 17, taken, 'bold side', [-unit[0], -unit[1]]),
    labelBeside(depthText(plan.landing.depth, units, ' '), landing, 12, taken, 'side', unit),
  ];
  return [
    `<g class="${letter}">`,
    `<g data-boat="${letter}" transform="translate(${pair(...boat)})"><path class="boat" d="${HULL}" transform="rotate(${short(turn, 0)})"/></g>`,
    `<path class="land" data-landing="${letter}" transform="translate(${pair(...landing)})" d="M0-5L5 0L0 5L-5 0Z"/>`,
    ...labels,
    '</g>',
  ].join('');
}

/**
 * Offsets of a bearing's text to the right of its cast line, seen from the boat, figure units; the contact bar is
 * at 5.
 */
const TEXT_OFFSETS = [16, -11, 25, -20];

/** Candidate positions of the middle of a bearing's text, as shares of the cast from the boat, best first. */
const TEXT_SHARES = [0.3, 0.4, 0.5, 0.6, 0.7, 0.2, 0.8];

/**
 * Distance at which two items look clearly separate, figure units: half the height of text plus half that of a
 * symbol.
 */
const CLEAR = 16;

/** Middle of the text along a cast line, on the side and at the place farthest from everything else. */
function bearingPlace(plan: CastPlan, frame: PlanFrame, half: number, taken: Taken): FigurePlace {
  let best: FigurePlace | undefined;
  let bestRoom = Number.NEGATIVE_INFINITY;
  let chosen: FigurePlace[] = [];
  for (const [rank, share] of TEXT_SHARES.entries()) {
    for (const right of TEXT_OFFSETS) {
      const middle = placeAlong(plan, frame, plan.cast * share, right);
      const text = stepsAcross(half).map((step) =>
        placeAlong(plan, frame, plan.cast * share + step / frame.scale, right),
      );
      const room = Math.min(...text.map((place) => distanceToNearest(place, taken)));
      const outside = text.some((place) => !isInMap(place, 7)) ? 1000 : 0;
      // The cast line is this close in any case, so more room than that is no better.
      const score = Math.min(room, CLEAR - 1, Math.abs(right)) - outside - rank * 0.1 - Math.abs(right) * 0.1;
      if (score > bestRoom) [bestRoom, best, chosen] = [score, middle, text];
    }
  }
  taken.push(...chosen);
  return best ?? placeAlong(plan, frame, plan.cast * 0.3, TEXT_OFFSETS[0]);
}

/** Distance from which a number and a symbol do not hide each other, figure units. */
const NUMBER_CLEAR = 18;

/**
 * Draws dotted lines for the next angles, each with its number at the boat, or farther along when the boat's
 * place is taken.
 */
function drawNextAngles(
  angles: readonly CastPlan[],
  sides: readonly (readonly [SideLetter, CastPlan])[],
  frame: PlanFrame,
  taken: Taken,
): string {
  if (angles.length === 0) return '';
  const endsOf = (plan: CastPlan): FigurePlace[] => [placeOf(plan.boat, frame), placeOf(plan.landing, frame)];
  const lines = angles.map((plan) => `<path d="${linePath(endsOf(plan))}"/>`);
  const symbols = sides.flatMap(([, plan]) => endsOf(plan));
  symbols.push(frame.toFigure(0, 0));
  const ends = angles.map((plan, i) => {
    const places = [0, 0.1, 0.2, 0.3, 0.4].map((share) => placeAlong(plan, frame, share * plan.cast));
    const place = places.find((each) => distanceToNearest(each, symbols) >= NUMBER_CLEAR) ?? places[0];
    symbols.push(place);
    taken.push(place);
    return `<g data-angle="${i + 1}" transform="translate(${pair(...place)})"><circle r="8"/><text class="mid" y="4.5">${i + 1}</text></g>`;
  });
  return `<g class="next">${lines.join('')}${ends.join('')}</g>`;
}

/** Approximate width of text, figure units; accurate enough to keep labels apart. */
export const textWide = (text: string): number => text.length * 7.7;

/**
 * Offsets along a text from its middle, so close that nothing fits between two of them. @param half Half the
 * width of the text.
 */
export function stepsAcross(half: number): number[] {
  const count = Math.ceil((2 * half) / 7);
  return Array.from({ length: count + 1 }, (_, i) => -half + (2 * half * i) / count);
}

/**
 * Label next to a symbol, on the side farthest from everything already drawn.
 *
 * @param toward Preferred side when several have room, as a unit vector.
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
  for (let k = 0; k < 60; k += 1) {
    const [sin, cos] = [Math.sin((k * Math.PI) / 6), Math.cos((k * Math.PI) / 6)];
    const off = away + 5 * Math.floor(k / 12);
    // Text is wider than high, so it must be farther away when placed to the side.
    const center: FigurePlace = [x + sin * (off - 5 + half), y - cos * off];
    const box = stepsAcross(half).map((step): FigurePlace => [center[0] + step, center[1]]);
    const room = Math.min(...box.map((corner) => distanceToNearest(corner, taken)));
    // Once there is enough room, being close to the symbol counts more.
    const score =
      Math.min(room, CLEAR) +
      5 * (sin * toward[0] - cos * toward[1]) -
      (off - away) * 0.3 -
      (box.every((corner) => isInMap(corner, 7)) ? 0 : 1000);
    if (score > bestRoom) [bestRoom, best] = [score, center];
  }
  const center = best ?? [x, y];
  taken.push(...stepsAcross(half).map((step): FigurePlace => [center[0] + step, center[1]]));
  return textElement(text, [center[0], center[1] + 4], `mid ${style}`);
}
