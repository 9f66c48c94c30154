import { FIELDS, type FieldDefinition, type FieldValues } from '../../../shared/contract/index.ts';
import { parseNumber } from '../../../shared/text/index.ts';
import type { ElementPlace, GpxWaypoint, WaypointPlace } from './gpx-document.ts';
import { NAMESPACE } from './namespaces.ts';

/** Maximum number of rounds of removing nested summaries; real comments have none nested. */
const ROUNDS = 20;

export const withoutSummary = (comment: string): string => strip(comment, () => () => false).trim();

/**
 * Returns the XML inside `cmt` without our summary, otherwise unchanged.
 *
 * The summary is written as `[ds: ...]` so that it can be found without extension elements. A chartplotter
 * may capitalize or cut the summary; a cut summary extends to the end of the text or of its CDATA section.
 */
export const rawWithoutSummary = (inner: string): string => strip(inner, hiddenPlaces);

/** Returns a function that tells whether a summary at a position is ignored. Positions must ascend. */
type HiddenPlaces = (text: string) => (index: number) => boolean;

function strip(inner: string, hidden: HiddenPlaces): string {
  // Most comments have no summary.
  if (!/\[ds/i.test(inner)) return inner;
  let text = inner;
  for (let round = 0; round < ROUNDS; round++) {
    const without = withoutOutermost(text, hidden);
    if (without === text) break;
    // Removing one summary may form another from the text around it.
    text = without;
  }
  return text;
}

function withoutOutermost(inner: string, hidden: HiddenPlaces): string {
  let kept = '';
  let from = 0;
  let stop = -1;
  const isHidden = hidden(inner);
  for (const { index } of inner.matchAll(/\[ds(?=:|$)/gi)) {
    if (index < from || isHidden(index)) continue;
    if (stop < index) stop = firstStop(inner, index);
    const end = endOfSummary(inner, stop);
    if (end === undefined) continue;
    kept += inner.slice(from, index > from && inner[index - 1] === ' ' ? index - 1 : index);
    // Text must not contain `]]>`, which brackets before and after the removed summary could form together.
    if (/\]$/.test(kept) && /^\]?>/.test(inner.slice(end, end + 2))) kept += ' ';
    from = end;
  }
  return kept + inner.slice(from);
}

/**
 * Returns a function that tells whether a position is in an XML comment or processing instruction, where no
 * summary is ours.
 *
 * @param inner Well-formed XML.
 */
function hiddenPlaces(inner: string): (index: number) => boolean {
  const hidden = Array.from(inner.matchAll(/<!\[CDATA\[[\s\S]*?\]\]>|<!--[\s\S]*?-->|<\?[\s\S]*?\?>/g))
    .filter(([part]) => !part.startsWith('<![CDATA['))
    .map(({ index, 0: part }) => ({ start: index, end: index + part.length }));
  let next = 0;
  return (index) => {
    while (next < hidden.length && hidden[next].end <= index) next++;
    return next < hidden.length && hidden[next].start <= index;
  };
}

function firstStop(inner: string, from: number): number {
  const found = /[\]<]/g;
  found.lastIndex = from;
  return found.exec(inner)?.index ?? inner.length;
}

/** Returns the end of a summary whose text extends to `stop`; undefined when markup comes first. */
function endOfSummary(inner: string, stop: number): number | undefined {
  if (inner[stop] === '<') return undefined;
  if (stop === inner.length || inner.startsWith(']]>', stop)) return stop;
  return stop + 1;
}

/** Formats our summary as written into a comment; empty for an empty comment. */
export const summaryText = (comment: string): string =>
  comment.trim() === '' ? '' : `[ds: ${comment.trim().replaceAll('[', '(').replaceAll(']', ')')}]`;

export const ownElement = (place: ElementPlace, name: 'waypoint' | 'boat'): ElementPlace | undefined =>
  additionElements(place).find(({ local }) => local === name);

/** Returns our elements in a waypoint: in its extensions or, as in GPX 1.0, among its children. */
export function additionElements(place: ElementPlace): readonly ElementPlace[] {
  const own: ElementPlace[] = [];
  for (const child of place.children ?? []) {
    if (isAddition(child)) own.push(child);
    else if (child.local === 'extensions' && child.uri === place.uri)
      own.push(...(child.children ?? []).filter(isAddition));
  }
  return own;
}

const isAddition = (element: ElementPlace): boolean =>
  element.uri === NAMESPACE && (element.local === 'waypoint' || element.local === 'boat');

/**
 * True for our elements that a run replaces in a user's waypoint. The element of a renamed boat position
 * shows that the new name is the user's, so it stays unless `isPlain`.
 */
export const isReplaced = (element: ElementPlace, isPlain: boolean): boolean =>
  isAddition(element) && (isPlain || element.local === 'waypoint');

/** Returns the parts of a waypoint that an earlier run made or opened; undefined without our element. */
export function previouslyMade(place: WaypointPlace): ReadonlySet<Made> | undefined {
  const element = ownElement(place, 'waypoint');
  return element && new Set((element.attributes?.made ?? '').split(' ') as Made[]);
}

/** `comment`, `extensions`: the element is ours. `...-opened`: we gave a self-closing element an end tag. */
export type Made = 'comment' | 'extensions' | 'comment-opened' | 'extensions-opened' | 'waypoint-opened';

/** Returns our record of the user's name, if we changed the name and our version is still in place. */
export function recordedName(place: ElementPlace): ElementPlace | undefined {
  const record = ownElement(place, 'waypoint')?.children?.find(
    (child) => child.uri === NAMESPACE && child.local === 'name',
  );
  const name = place.children?.find((child) => child.local === 'name' && child.uri === place.uri);
  return record !== undefined && record.attributes?.as === name?.text ? record : undefined;
}

export const originalName = (place: ElementPlace): string | undefined => recordedName(place)?.text?.trim();

/** Reads the fields of an earlier run from our element, except unknown fields and values of a wrong type. */
export function earlierFields({ place }: Pick<GpxWaypoint, 'place'>): Readonly<Partial<FieldValues>> {
  const fields: Record<string, unknown> = {};
  const own = ownElement(place, 'waypoint');
  for (const { local, text } of own?.children ?? []) {
    if (!Object.hasOwn(FIELDS, local) || text === undefined) continue;
    const definition: FieldDefinition = FIELDS[local as keyof typeof FIELDS];
    const value = definition.type === 'number' ? parseNumber(text.trim()) : text.trim();
    if (Number.isNaN(value)) continue;
    if (definition.type === 'word' && !definition.words?.includes(value as string)) continue;
    fields[local] = value;
  }
  return fields;
}
