import { greatest, range } from 'd3-array';
import type { CastPlan, EnrichedWaypoint } from '../../shared/contract/index.ts';
import type { SideLetter } from '../../shared/day/index.ts';
import { depthText, lengthText } from '../../shared/text/index.ts';
import { HULL, LANDING, MARK } from './figure-root.ts';
import { bearingSigned } from './figure-words.ts';
import { uprightTurn } from './label-places.ts';
import { isInMap, type PlanView } from './plan-frame.ts';
import { contactSegments } from './profile-runs.ts';
import { distanceToNearest, type FigurePlace, linePath, moved, pair, short, textElement } from './svg.ts';

/** Offset of the contact bar to the right of the cast line, seen from the boat, figure units. */
const RAIL_OFFSET = 5;

/** Draws the next angles, then the lines of both casts, then boats, landings and labels on top. */
export function drawCasts(view: PlanView): string {
  const casts = drawnCasts(view);
  for (const { plan, boat, landing, at } of casts) {
    for (let share = 0; share <= 1; share += 0.08) view.taken.push(at(share * plan.cast));
    view.taken.push(boat, landing);
  }
  view.taken.push(view.toFigure(0, 0));
  return [
    drawNextAngles(casts, view),
    ...casts.map(drawLines),
    ...casts.map((cast) => drawEnds(cast, view)),
  ].join('');
}

/** Writes the bearing and length of each cast along its line, where there is most room. */
export function drawBearings(view: PlanView): string {
  const texts = drawnCasts(view).map((cast) => {
    const { letter, plan, toward } = cast;
    const text = `${bearingSigned(plan.bearing, view.fields.declination)} ${lengthText(plan.cast, view.units, ' ')}`;
    const turn = uprightTurn((Math.atan2(toward[1], toward[0]) * 180) / Math.PI);
    const place = bearingPlace(cast, view, textWide(text) / 2);
    return `<g class="${letter}"><text class="mid side" dy=".35em" transform="translate(${pair(...place)})rotate(${short(turn, 0)})">${text}</text></g>`;
  });
  return texts.join('');
}

export const sidesOf = ({ downslope, upslope }: EnrichedWaypoint['fields']): [SideLetter, CastPlan][] =>
  (
    [
      ['D', downslope],
      ['U', upslope],
    ] as const
  ).flatMap(([letter, plan]) => (plan === undefined ? [] : [[letter, plan]]));

export function drawMark({ fields, units, taken, toFigure }: PlanView): string {
  const place = toFigure(0, 0);
  const text = fields.depth === undefined ? 'mark' : `mark ${depthText(fields.depth, units, ' ')}`;
  return [
    `<g data-mark="1" ${moved(place)}><path class="halo" d="${MARK}"/><path class="mark" d="${MARK}"/></g>`,
    labelBeside(text, place, 15, taken, 'bold'),
  ].join('');
}

type DrawnCast = ReturnType<typeof drawnCast>;

const drawnCasts = (view: PlanView): DrawnCast[] =>
  sidesOf(view.fields).map(([letter, plan]) => drawnCast(letter, plan, view));

/** Converts a cast to figure units; `toward` is the vector from boat to landing, `unit` its unit vector. */
function drawnCast(letter: SideLetter, plan: CastPlan, { toFigure }: PlanView) {
  const [boat, landing] = [plan.boat, plan.landing].map(({ east, north }) => toFigure(east, north));
  const toward: FigurePlace = [landing[0] - boat[0], landing[1] - boat[1]];
  const length = Math.hypot(...toward) || 1;
  const unit: FigurePlace = [toward[0] / length, toward[1] / length];
  /** Returns the place `along` m from the boat and `right` figure units to the right of the line. */
  const at = (along: number, right = 0): FigurePlace => {
    const share = (along / plan.cast) * length;
    return [boat[0] + unit[0] * share - unit[1] * right, boat[1] + unit[1] * share + unit[0] * right];
  };
  return { letter, plan, boat, landing, toward, unit, at };
}

function drawLines({ letter, plan, boat, landing, at }: DrawnCast): string {
  const rails = contactSegments(plan).map(([from, to]) =>
    linePath([at(from, RAIL_OFFSET), at(to, RAIL_OFFSET)]),
  );
  const rail = rails.length === 0 ? '' : `<path class="rail" d="${rails.join('')}"/>`;
  return `<g class="${letter}"><path class="cast" d="${linePath([boat, landing])}"/>${rail}</g>`;
}

function drawEnds(
  { letter, plan, boat, landing, toward, unit }: DrawnCast,
  { units, taken }: PlanView,
): string {
  const turn = (Math.atan2(toward[0], -toward[1]) * 180) / Math.PI;
  const boatText = `${letter} ${depthText(plan.boat.depth, units, ' ')}`;
  const labels = [
    labelBeside(boatText, boat, 17, taken, 'bold side', [-unit[0], -unit[1]]),
    labelBeside(depthText(plan.landing.depth, units, ' '), landing, 12, taken, 'side', unit),
  ];
  return [
    `<g class="${letter}">`,
    `<g data-boat="${letter}" ${moved(boat)}><path class="boat" d="${HULL}" transform="rotate(${short(turn, 0)})"/></g>`,
    `<path class="land" data-landing="${letter}" ${moved(landing)} d="${LANDING}"/>`,
    ...labels,
    '</g>',
  ].join('');
}

/** Offsets to try for a bearing's text, figure units; positive is to the right, seen from the boat. */
const TEXT_OFFSETS = [16, -11, 25, -20];

/** Candidate positions of the middle of a bearing's text, as shares of the cast from the boat, best first. */
const TEXT_SHARES = [0.3, 0.4, 0.5, 0.6, 0.7, 0.2, 0.8];

/** Sufficient distance between text and a hull, figure units: half the sum of their heights, 13 and 19. */
const CLEAR = 16;

/**
 * Chooses the side and the place along a cast line where a text has most room. Returns the middle of the
 * text.
 *
 * @param half Half the width of the text, figure units.
 */
function bearingPlace({ plan, at }: DrawnCast, { taken, scale }: PlanView, half: number): FigurePlace {
  const places = TEXT_SHARES.flatMap((share, rank) =>
    TEXT_OFFSETS.map((right) => {
      const text = stepsAcross(half).map((step) => at(plan.cast * share + step / scale, right));
      // The cast line is `right` away from the text, so more room to other places is no advantage.
      const room = Math.min(roomOf(text, taken), CLEAR - 1, Math.abs(right));
      const score = room - outside(text) - rank * 0.1 - Math.abs(right) * 0.1;
      return { text, score, place: at(plan.cast * share, right) };
    }),
  );
  const { text, place } = greatest(places, ({ score }) => score)!;
  taken.push(...text);
  return place;
}

const roomOf = (text: readonly FigurePlace[], taken: readonly FigurePlace[]): number =>
  Math.min(...text.map((place) => distanceToNearest(place, taken)));

/** Returns the penalty on the score of a text that is not entirely on the map. */
const outside = (text: readonly FigurePlace[]): number =>
  text.every((place) => isInMap(place, 7)) ? 0 : 1000;

/** Minimum distance of a number from a symbol, so that neither hides the other, figure units. */
const NUMBER_CLEAR = 18;

/** Draws the next angles as dotted lines, numbered at the boat or, if a symbol is near, farther along. */
function drawNextAngles(casts: readonly DrawnCast[], view: PlanView): string {
  const angles = (view.fields.angles ?? []).map((plan) => drawnCast('D', plan, view));
  if (angles.length === 0) return '';
  const lines = angles.map(({ boat, landing }) => `<path d="${linePath([boat, landing])}"/>`);
  const symbols = [...casts.flatMap(({ boat, landing }) => [boat, landing]), view.toFigure(0, 0)];
  const ends = angles.map(({ plan, at }, i) => {
    const places = [0, 0.1, 0.2, 0.3, 0.4].map((share) => at(share * plan.cast));
    const place = places.find((each) => distanceToNearest(each, symbols) >= NUMBER_CLEAR) ?? places[0];
    symbols.push(place);
    view.taken.push(place);
    return `<g data-angle="${i + 1}" ${moved(place)}><circle r="8"/><text class="mid" y="4.5">${i + 1}</text></g>`;
  });
  return `<g class="next">${lines.join('')}${ends.join('')}</g>`;
}

/** Estimates the width of text in a figure, figure units: 7.7 for each letter of the 13 px font. */
export const textWide = (text: string): number => text.length * 7.7;

/**
 * Returns offsets from the middle of a text along the text, figure units. Steps are at most 7, so that no
 * label fits between two offsets.
 *
 * @param half Half the width of the text, figure units.
 */
export function stepsAcross(half: number): number[] {
  const count = Math.ceil((2 * half) / 7);
  return Array.from({ length: count + 1 }, (_, i) => -half + (2 * half * i) / count);
}

/**
 * Writes a label next to a symbol, on the side with most room.
 *
 * @param away Minimum distance from the symbol to a label above or below, figure units.
 * @param toward Preferred side when several have room, as a unit vector.
 */
function labelBeside(
  text: string,
  [x, y]: FigurePlace,
  away: number,
  taken: FigurePlace[],
  style: string,
  toward: FigurePlace = [0, 0],
): string {
  const half = textWide(text) / 2;
  const places = range(60).map((k) => {
    const [sin, cos] = [Math.sin((k * Math.PI) / 6), Math.cos((k * Math.PI) / 6)];
    const off = away + 5 * Math.floor(k / 12);
    // Text is wider than high, so a label at the side must be farther away.
    const center: FigurePlace = [x + sin * (off - 5 + half), y - cos * off];
    const box = stepsAcross(half).map((step): FigurePlace => [center[0] + step, center[1]]);
    // Beyond `CLEAR`, a label close to the symbol is better than one with more room.
    const room = Math.min(roomOf(box, taken), CLEAR);
    const score = room + 5 * (sin * toward[0] - cos * toward[1]) - (off - away) * 0.3 - outside(box);
    return { center, box, score };
  });
  const { center, box } = greatest(places, ({ score }) => score)!;
  taken.push(...box);
  return textElement(text, [center[0], center[1] + 4], `mid ${style}`);
}
