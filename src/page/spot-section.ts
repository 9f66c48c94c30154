import { partition, uniq } from 'es-toolkit';
import {
  bySeverity,
  type Diagnostic,
  type DisplayUnits,
  type EnrichedWaypoint,
  type FieldDefinition,
  inUnits,
} from '../../shared/contract/index.ts';
import { rankCasts } from '../../shared/retrieve/index.ts';
import { angleName, depthText, lengthText, sideName } from '../../shared/text/index.ts';
import { bottomFigure } from './bottom-figure.ts';
import { card, castLines, factList } from './card.ts';
import { castFacts, contactWords, headline, spotFacts } from './facts.ts';
import type { FigureContext } from './figure-context.ts';
import { bearingWords, NBSP, sentence, spotName } from './figure-words.ts';
import { planFigure } from './plan-figure.ts';
import type { PageContext } from './report-input.ts';
import { sideFigure } from './side-figure.ts';
import { escapeText } from './svg.ts';

/**
 * Writes the section of one spot, which prints as one page: the card of the first choice, then the details.
 * On a narrow screen the details are folded.
 *
 * @param headLine Line at the top of the printed page, since an angler may carry only that page.
 * @param hasManyFiles True when spots come from several files, so that names may repeat.
 */
export function spotSection(
  at: number,
  context: PageContext,
  pluginFields: Readonly<Record<string, FieldDefinition>> | undefined,
  headLine: string,
  hasManyFiles: boolean,
): string {
  const { units, spots } = context;
  const spot = spots[at];
  const { fields } = spot;
  const [first] = rankCasts(fields);
  const idOf = (other: EnrichedWaypoint | undefined) =>
    other === undefined ? undefined : `spot-${other.waypoint.index + 1}`;
  const number = spot.waypoint.index + 1;
  // Warnings and errors are always visible; notes, which are only for information, may be folded.
  const [information, problems] = partition(spot.diagnostics, ({ severity }) => severity === 'note');
  const notes = noteList(information, units);
  return card({
    id: `spot-${number}`,
    kind: 'spot',
    number: String(number),
    name: spotName(spot),
    lead: `<span class="on-paper">${escapeText(headLine)}</span><p>${escapeText(headline(spot, units))}${hasManyFiles ? `<span class="from"> From ${escapeText(spot.waypoint.file)}.</span>` : ''}</p>`,
    doing: first === undefined ? [] : castLines(first, fields, units),
    figure: planFigure(spot, context),
    beside: '',
    after: [
      noteList(problems, units),
      '<details class="rest"><summary>The ground, side views, next angles</summary>',
      `<div class="ground"><h4>The ground</h4>${factList(spotFacts(spot, units, pluginFields))}${userText(spot)}${notes === '' ? '' : `<h4>Notes</h4>${notes}`}</div>`,
      sides(spot, context),
      nextAngles(spot, units),
      '</details>',
    ].join(''),
    previous: idOf(spots[at - 1]),
    next: idOf(spots[at + 1]),
    up: { id: `row-${number}`, words: 'list' },
  });
}

/** Quotes the waypoint's own texts, for comparison with the facts derived from these texts. */
function userText({ waypoint }: EnrichedWaypoint): string {
  const texts = uniq([waypoint.comment.trim(), waypoint.description.trim()]).filter((text) => text !== '');
  if (texts.length === 0) return '';
  return `<p class="own-words">${texts.map((text) => `\u201c${escapeText(text)}\u201d`).join(' ')}</p>`;
}

function noteList(diagnostics: readonly Diagnostic[], units: DisplayUnits): string {
  if (diagnostics.length === 0) return '';
  const items = [...diagnostics]
    .sort(bySeverity)
    .map(
      ({ severity, message }) =>
        `<li class="${severity}"><b>${sentence(severity)}:</b> ${escapeText(inUnits(message, units))}</li>`,
    );
  return `<ul class="notes">${items.join('')}</ul>`;
}

function sides(spot: EnrichedWaypoint, context: FigureContext): string {
  const { downslope, upslope } = spot.fields;
  if (downslope === undefined && upslope === undefined) {
    return `<div class="two"><figure>${bottomFigure(spot, context)}</figure><p class="none">${noCast(spot)}</p></div>`;
  }
  const first = rankCasts(spot.fields)[0];
  const order = ['downslope', 'upslope'] as const;
  const parts = (upslope !== undefined && first === upslope ? order.toReversed() : order).map(
    (name, place) => {
      const plan = spot.fields[name];
      const choice = place === 0 ? 'First choice' : 'Second choice';
      if (plan === undefined)
        return `<div><h4>${choice}</h4><p class="none">${missingSide(name, spot)}</p></div>`;
      const heading = `${choice}: ${sideName(plan, spot.fields)}, ${name === 'downslope' ? 'D' : 'U'}`;
      return `<div><h4>${heading}</h4><figure>${sideFigure(spot, name, context)}</figure>${factList(castFacts(plan, spot.fields, context.units))}</div>`;
    },
  );
  return `<div class="two">${parts.join('')}</div>`;
}

const missingSide = (name: 'downslope' | 'upslope', spot: EnrichedWaypoint): string =>
  `No boat position on the ${name === 'downslope' ? 'deep' : 'shallow'} side${why(spot)}`;

function noCast(spot: EnrichedWaypoint): string {
  const hasAngles = (spot.fields.angles ?? []).length > 0;
  return hasAngles
    ? `No cast from the deep or the shallow side${why(spot)} Next best: see below.`
    : `No cast is planned here${why(spot)}`;
}

const why = ({ diagnostics }: EnrichedWaypoint): string =>
  diagnostics.length === 0 ? '.' : ': see the notes.';

/** Lists the next angles, numbered as in the plan view. */
function nextAngles({ fields }: EnrichedWaypoint, units: DisplayUnits): string {
  const angles = fields.angles ?? [];
  if (angles.length === 0) return '';
  const items = angles.map((plan) => {
    const what =
      `${angleName(plan)}: boat in ${depthText(plan.boat.depth, units, NBSP)}, cast ${bearingWords(plan.bearing, fields.declination)}` +
      ` ${lengthText(plan.cast, units, NBSP)} to ${depthText(plan.landing.depth, units, NBSP)}; ${plan.isSuspended ? 'off' : 'on'} bottom: ${contactWords(plan, units)}.`;
    return `<li>${escapeText(sentence(what))}</li>`;
  });
  const isAllThereIs = fields.downslope === undefined && fields.upslope === undefined;
  const heading = isAllThereIs ? 'Next best' : 'Next angles, when the fish stop biting';
  return `<h4>${heading}</h4><ol class="next-angles">${items.join('')}</ol>`;
}
