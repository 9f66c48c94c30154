import {
  type Diagnostic,
  type DisplayUnits,
  type EnrichedWaypoint,
  type FieldDefinition,
  inUnits,
} from '../../shared/contract/index.ts';
import { rankCasts } from '../../shared/retrieve/index.ts';
import { angleName, depthText, lengthText, sideName } from '../../shared/text/index.ts';
import { bottomFigure } from './bottom-figure.ts';
import { castFacts, contactWords, type Fact, headline, sentence, spotFacts } from './facts.ts';
import { bearingWords, spotName } from './figure-words.ts';
import { type FigureContext, planFigure } from './plan-figure.ts';
import { sideFigure } from './side-figure.ts';
import { escapeText } from './svg.ts';

/** What every spot's page says besides the spot. */
export interface Sheet {
  /** At the head of the printed page, which may be all that is taken along. */
  readonly headLine: string;
  /** Whether spots come from several files, so that names may repeat. */
  readonly hasManyFiles: boolean;
}

/**
 * Everything about one spot: plan view, facts, side views, next angles, notes. One printed page.
 *
 */
export function spotSection(
  spot: EnrichedWaypoint,
  context: FigureContext,
  ownFields: Readonly<Record<string, FieldDefinition>> | undefined,
  sheet: Sheet,
): string {
  const number = spot.waypoint.index + 1;
  const { units } = context;
  return [
    `<section class="spot" id="spot-${number}" aria-labelledby="name-${number}">`,
    `<header><h3 id="name-${number}"><span class="no">${number}</span> ${escapeText(spotName(spot))}</h3>`,
    `<a class="up" href="#row-${number}" aria-label="Back to the list, spot ${number}">back to the list</a>`,
    `<span class="on-paper">${escapeText(sheet.headLine)}</span>`,
    `<p>${escapeText(headline(spot, units))}${sheet.hasManyFiles ? `<span class="from"> From ${escapeText(spot.waypoint.file)}.</span>` : ''}</p></header>`,
    '<div class="two">',
    `<figure>${planFigure(spot, context)}</figure>`,
    `<div><h4>The ground</h4>${factList(spotFacts(spot, units, ownFields))}${userText(spot)}${notes(spot.diagnostics, units)}</div>`,
    '</div>',
    sides(spot, context),
    nextAngles(spot, units),
    '</section>',
  ].join('');
}

const factList = (facts: readonly Fact[]): string =>
  `<dl>${facts.map(({ term, text }) => `<dt>${escapeText(term)}</dt><dd>${escapeText(text)}</dd>`).join('')}</dl>`;

/** The waypoint's own words, so that they are at hand next to what was made of them. */
function userText({ waypoint }: EnrichedWaypoint): string {
  const texts = [waypoint.comment, waypoint.description]
    .map((text) => text.trim())
    .filter((text) => text !== '');
  if (texts.length === 0) return '';
  return `<p class="own-words">${[...new Set(texts)].map((text) => `\u201c${escapeText(text)}\u201d`).join(' ')}</p>`;
}

const SEVERITY_WORDS = {
  error: 'Error',
  warning: 'Warning',
  note: 'Note',
} as const;

function notes(diagnostics: readonly Diagnostic[], units: DisplayUnits): string {
  if (diagnostics.length === 0) return '';
  const order = { error: 0, warning: 1, note: 2 } as const;
  const items = [...diagnostics]
    .sort((a, b) => order[a.severity] - order[b.severity])
    .map(
      ({ severity, message }) =>
        `<li class="${severity}"><b>${SEVERITY_WORDS[severity]}:</b> ${escapeText(inUnits(message, units))}</li>`,
    );
  return `<h4>Notes</h4><ul class="notes">${items.join('')}</ul>`;
}

function sides(spot: EnrichedWaypoint, context: FigureContext): string {
  const { downslope, upslope } = spot.fields;
  if (downslope === undefined && upslope === undefined) {
    return `<div class="two"><figure>${bottomFigure(spot, context)}</figure><p class="none">${noCast(spot)}</p></div>`;
  }
  const first = rankCasts(spot.fields)[0];
  const order =
    upslope !== undefined && first === upslope
      ? (['upslope', 'downslope'] as const)
      : (['downslope', 'upslope'] as const);
  const parts = order.map((name, place) => {
    const plan = spot.fields[name];
    const choice = place === 0 ? 'First choice' : 'Second choice';
    if (plan === undefined)
      return `<div><h4>${choice}</h4><p class="none">${missingSide(name, spot)}</p></div>`;
    const heading = `${choice}: ${sideName(plan, spot.fields)}, ${name === 'downslope' ? 'D' : 'U'}`;
    return `<div><h4>${heading}</h4><figure>${sideFigure(spot, name, context)}</figure>${factList(castFacts(plan, spot.fields, context.units))}</div>`;
  });
  return `<div class="two">${parts.join('')}</div>`;
}

/** A side without a boat position. */
const missingSide = (name: 'downslope' | 'upslope', spot: EnrichedWaypoint): string =>
  `No spot on the ${name === 'downslope' ? 'deep' : 'shallow'} side${why(spot)}`;

function noCast(spot: EnrichedWaypoint): string {
  const hasAngles = (spot.fields.angles ?? []).length > 0;
  return hasAngles
    ? `No cast from the deep or the shallow side${why(spot)} Next best: see below.`
    : `No cast is planned here${why(spot)}`;
}

const why = ({ diagnostics }: EnrichedWaypoint): string =>
  diagnostics.length === 0 ? '.' : ': see the notes.';

/** What to try when they stop biting; numbers are those on the plan view. */
function nextAngles({ fields }: EnrichedWaypoint, units: DisplayUnits): string {
  const angles = fields.angles ?? [];
  if (angles.length === 0) return '';
  const items = angles.map((plan) => {
    const what =
      `${angleName(plan)}: boat in ${depthText(plan.boat.depth, units, '\u00a0')}, cast ${bearingWords(plan.bearing, fields.declination)}` +
      ` ${lengthText(plan.cast, units, '\u00a0')} to ${depthText(plan.landing.depth, units, '\u00a0')}; on bottom: ${contactWords(plan, units)}.`;
    return `<li>${escapeText(sentence(what))}</li>`;
  });
  const isAllThereIs = fields.downslope === undefined && fields.upslope === undefined;
  const heading = isAllThereIs ? 'Next best' : 'Next angles, when they stop biting';
  return `<h4>${heading}</h4><ol class="next-angles">${items.join('')}</ol>`;
}
