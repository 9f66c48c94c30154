import type { CastPlan, DepthRange, DisplayUnits, EnrichedWaypoint } from '../../shared/contract/index.ts';
import { type PlannedStop, sideLetter } from '../../shared/day/index.ts';
import { depthRange, depthText, lengthText, sideName } from '../../shared/text/index.ts';
import { boatText, castText } from '../day/index.ts';
import { type Fact, known } from './facts.ts';
import { bearingWords, NBSP, statedBand } from './figure-words.ts';
import { escapeText } from './svg.ts';

/** Content of a card, which shows a stop or a spot. The card of a stop fits half a printed page. */
export interface Card {
  readonly id: string;
  /** CSS classes of the card in addition to `card`. */
  readonly kind: string;
  readonly number: string;
  readonly name: string;
  /** Markup below the name. */
  readonly lead: string;
  readonly doing: readonly Fact[];
  /** Markup of the plan view. */
  readonly figure: string;
  /** Markup placed next to the plan view when there is room. */
  readonly beside: string;
  readonly after: string;
  readonly previous?: string;
  readonly next?: string;
  /** Link back to the list or the map. */
  readonly up: { readonly id: string; readonly words: string };
}

export function card(content: Card): string {
  const { id, number, name, up } = content;
  const step = (target: string | undefined, sign: string, words: string): string =>
    target === undefined
      ? `<span class="step" aria-hidden="true">${sign}</span>`
      : `<a class="step" href="#${target}" aria-label="${words}: from ${number} ${escapeText(name)}">${sign}</a>`;
  return [
    `<section class="card ${content.kind}" id="${id}" aria-labelledby="name-${id}">`,
    `<header><h3 id="name-${id}"><span class="no">${number}</span> ${escapeText(name)}</h3>`,
    `<nav aria-label="From ${number} ${escapeText(name)}">${step(content.previous, '\u2039', 'Previous')}<a class="up" href="#${up.id}">${up.words}</a>${step(content.next, '\u203a', 'Next')}</nav>`,
    `${content.lead}</header>`,
    '<div class="body">',
    content.figure === '' ? '' : `<figure>${content.figure}</figure>`,
    `<div class="doing">${factList(content.doing)}</div>`,
    content.beside === '' ? '' : `<div class="beside">${content.beside}</div>`,
    `</div>${content.after}</section>`,
  ].join('');
}

export const factList = (facts: readonly Fact[]): string =>
  facts.length === 0
    ? ''
    : `<dl>${facts.map(([term, text]) => `<dt>${escapeText(term)}</dt><dd>${escapeText(text)}</dd>`).join('')}</dl>`;

const bandWords = ({ top, bottom }: DepthRange, units: DisplayUnits): string =>
  depthRange(top, bottom, units, NBSP, '\u2013');

/** Lists the instructions for one cast in order. Without stated depths, the fish are at the mark's depth. */
export function castLines(plan: CastPlan, fields: EnrichedWaypoint['fields'], units: DisplayUnits): Fact[] {
  const depth = (meters: number): string => depthText(meters, units, NBSP);
  const [top, bottom] = plan.contactDepths ?? [];
  const suspended = plan.isSuspended ? '; lure off the bottom' : '';
  const contact =
    top === undefined || bottom === undefined
      ? suspended
      : `; lure on bottom ${bandWords({ top, bottom }, units)}`;
  const band = statedBand(fields);
  const mark = fields.mark_depth ?? fields.depth;
  const fish =
    band !== undefined
      ? bandWords(band, units)
      : fields.depth === undefined
        ? undefined
        : `at the mark, ${depth(mark!)}`;
  return known([
    ['Sit in', `${depth(plan.boat.depth)}, ${sideName(plan, fields)}`],
    [
      'Cast',
      `${bearingWords(plan.bearing, fields.declination)}, ${lengthText(plan.cast, units, NBSP)}, to ${depth(plan.landing.depth)}`,
    ],
    ['Lure', `${plan.lure}, gets to ${depth(plan.lureDepth)}`],
    ['Fish', fish && `${fish}${contact}`],
  ]);
}

/** Lists the instructions for a stop whose cast is known only from the enriched file. */
export function stopLines(stop: PlannedStop, units: DisplayUnits): Fact[] {
  const side = sideLetter(stop.side) === 'D' ? 'deep side' : 'shallow side';
  const { lure, fish } = stop.spot;
  const boat = boatText(stop, units);
  return known([
    ['Sit in', boat === '' ? side : `${boat}, ${side}`],
    ['Cast', castText(stop, units)],
    ['Lure', lure],
    ['Fish', fish && bandWords(fish, units)],
  ]);
}
