import { bisectLeft, greatest, max, min, range } from 'd3-array';
import type { CastPlan, DepthRange, DisplayUnits, EnrichedWaypoint } from '../../shared/contract/index.ts';
import type { SideLetter } from '../../shared/day/index.ts';
import { depthRange, depthText } from '../../shared/text/index.ts';
import type { FigureContext } from './figure-context.ts';
import { LANDING } from './figure-root.ts';
import { describeSide, given, statedBand } from './figure-words.ts';
import { contactSegments } from './profile-runs.ts';
import {
  deepestOf,
  drawAxes,
  drawBottom,
  drawFooter,
  SECTION,
  type SectionScale,
  sectionFigure,
  sectionScale,
  THIN,
  WATER_LINE,
} from './section-frame.ts';
import { areaPath, type FigurePlace, linePath, moved, short, simplify, textElement } from './svg.ts';

/**
 * Draws one cast from the side: bottom with its uncertainty, fish band, lure path, contact. The boat is at
 * the left. The root carries `data-left` and `data-surface`, the figure place of distance 0 and depth 0;
 * `data-across` and `data-down`, figure units per m; and `data-exaggeration`.
 */
export function sideFigure(
  spot: EnrichedWaypoint,
  side: 'downslope' | 'upslope',
  context: FigureContext,
): string {
  const plan = spot.fields[side];
  if (plan === undefined)
    throw new Error(`No ${side} cast in spot ${spot.waypoint.index}: the caller's check.`);
  const { units } = context;
  // Both sides of a spot are drawn at the same scale, so that they can be compared.
  const both = [spot.fields.downslope, spot.fields.upslope].filter((each) => each !== undefined);
  const scale = sectionScale(
    0,
    Math.max(...both.map((each) => each.cast)),
    Math.max(...both.map((each) => Math.max(each.lureDepth, deepestOf(each.profile)))),
  );
  const letter: SideLetter = side === 'downslope' ? 'D' : 'U';
  const band = statedBand(spot.fields);
  const content = [
    drawAxes(scale, units),
    band === undefined ? '' : fishBand(band, plan, scale),
    drawBottom(plan.profile, scale),
    `<g class="${letter}">`,
    lurePath(plan, scale),
    ends(letter, plan, scale, units),
    band === undefined ? '' : fishLabel(band, plan, scale, units),
    contactLabel(plan, scale, units),
    '</g>',
    drawFooter(plan.profile, scale),
  ];
  const label = describeSide(spot, plan, units);
  return sectionFigure(content, { name: `side-${letter}`, label, isStandalone: context.isStandalone }, scale);
}

/** Draws the water between the two depths of the fish band, above the bottom. */
function fishBand({ top, bottom }: DepthRange, { profile }: CastPlan, scale: SectionScale): string {
  const [shallow, deep] = [top, bottom].map((depth) => {
    const outline = Array.from(profile.distance, (along, i) =>
      scale.toFigure(along, Math.min(depth, Number.isFinite(profile.bottom[i]) ? profile.bottom[i] : depth)),
    );
    return simplify(outline, THIN);
  });
  return [
    `<path class="band" d="${areaPath([...shallow, ...deep.toReversed()])}"/>`,
    `<path class="edge" fill="none" d="${linePath(shallow)}${linePath(deep)}"/>`,
  ].join('');
}

/** Half the width of the fish label, figure units. */
const LABEL_HALF = 46;

/** Writes the fish depths inside the fish band, where lure and bottom leave the most room. */
function fishLabel(
  { top, bottom }: DepthRange,
  { profile }: CastPlan,
  scale: SectionScale,
  units: DisplayUnits,
): string {
  const { distance } = profile;
  const reach = LABEL_HALF / scale.across;
  const [first, last] = [distance[0] + reach, distance[distance.length - 1] - reach];
  const places = Array.from(distance.filter((along) => along >= first && along <= last)).map((along) => {
    const near = range(distance.length).filter((i) => Math.abs(distance[i] - along) <= reach);
    const deep = min([bottom, ...near.map((i) => profile.bottom[i])])!;
    const middle = (top + deep) / 2;
    const room = min([(deep - top) / 2, ...near.map((i) => Math.abs(profile.lure[i] - middle))])!;
    return { room, place: scale.toFigure(along, middle) };
  });
  const [x, y] = greatest(places, ({ room }) => room)?.place ?? scale.toFigure(first, (top + bottom) / 2);
  return textElement(`fish ${depthRange(top, bottom, units, ' ', '\u2013')}`, [x, y + 4], 'fish mid');
}

function lurePath(plan: CastPlan, scale: SectionScale): string {
  const { distance, lure } = plan.profile;
  const places = Array.from(distance, (along, i) => scale.toFigure(along, lure[i]));
  const touch = contactSegments(plan).map(([from, to]) => {
    const ends = [from, to].map((along) => scale.toFigure(along, depthAt(distance, lure, along)));
    const inside = places.filter((_, i) => distance[i] > from && distance[i] < to);
    return linePath(simplify([ends[0], ...inside, ends[1]], THIN));
  });
  // The path runs from the landing to the boat, like the lure.
  const path = `<path class="lure" d="${linePath(simplify(places, THIN).reverse())}"/>`;
  return touch.length === 0 ? path : `${path}<path class="touch" d="${touch.join('')}"/>`;
}

function depthAt(distance: Float64Array, depth: Float64Array, along: number): number {
  const i = Math.min(Math.max(1, bisectLeft(distance, along)), distance.length - 1);
  const share = (along - distance[i - 1]) / (distance[i] - distance[i - 1]);
  return depth[i - 1] + share * (depth[i] - depth[i - 1]);
}

function ends(letter: SideLetter, plan: CastPlan, scale: SectionScale, units: DisplayUnits): string {
  const boat = scale.toFigure(0, 0);
  const landing = scale.toFigure(plan.cast, 0);
  const plumb = ([x]: FigurePlace, depth: number) =>
    `M${short(x)} ${SECTION.top}V${short(scale.toFigure(0, depth)[1])}`;
  return [
    WATER_LINE,
    `<path class="own" d="${plumb(landing, plan.landing.depth)}"/>`,
    `<g data-boat="${letter}" ${moved(boat)}><path class="boat" d="M-8-6H11C9-1 6 2 2 2H-6Z"/></g>`,
    `<path class="land" data-landing="${letter}" ${moved(landing)} d="${LANDING}"/>`,
    textElement(
      `${letter} boat in ${depthText(plan.boat.depth, units, ' ')}`,
      [SECTION.left + 16, SECTION.top - 8],
      'bold side',
    ),
    textElement(
      `lands in ${depthText(plan.landing.depth, units, ' ')}`,
      [SECTION.edge, SECTION.top - 10],
      'end side',
    ),
    textElement(
      `${plan.lure.slice(0, 40)}, gets to ${depthText(plan.lureDepth, units, ' ')}`,
      [SECTION.edge, SECTION.top - 28],
      'end side',
    ),
  ].join('');
}

/** Writes the depths where the lure is on bottom, below the middle of the contact, or `off bottom`. */
function contactLabel(plan: CastPlan, scale: SectionScale, units: DisplayUnits): string {
  const pieces = contactSegments(plan);
  if (pieces.length === 0) {
    return textElement('off bottom', [(SECTION.left + SECTION.right) / 2, SECTION.top + 14], 'mid side');
  }
  const middle = (pieces[0][0] + pieces[pieces.length - 1][1]) / 2;
  const [x] = scale.toFigure(middle, 0);
  const text = `on bottom${given(plan.contactDepths, (depths) => ` ${depthRange(...depths, units, ' ', '\u2013')}`)}`;
  const at = Math.min(Math.max(x, SECTION.left + CONTACT_HALF), SECTION.right - CONTACT_HALF);
  // Below the deepest bottom within its width, the label hides neither bottom nor contact.
  const { distance, bottom } = plan.profile;
  const spanned = Array.from(distance, (along, i) => scale.toFigure(along, bottom[i])).filter(
    ([along]) => Math.abs(along - at) <= CONTACT_HALF,
  );
  const deepest = max([SECTION.top, ...spanned.map(([, down]) => down)])!;
  return textElement(text, [at, Math.min(deepest + 14, SECTION.bottom - 4)], 'mid bold side');
}

/** Half the width of the contact label, figure units. */
const CONTACT_HALF = 68;
