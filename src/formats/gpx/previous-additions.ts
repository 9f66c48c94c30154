import type { ElementPlace, WaypointPlace } from './gpx-document.ts';
import { OURS } from './namespaces.ts';

/** Rounds of removing nested summaries; no real comment needs two. */
const ROUNDS = 20;

/** A comment's text without our summary. */
export const withoutSummary = (comment: string): string => strip(comment, () => () => false).trim();

/**
 * XML inside `cmt` without our summary, otherwise as it was.
 *
 * The summary is `[ds: ...]`, so that it is found again without extension elements. A unit may write it in
 * capitals, or cut it: then it goes to the end, or to the end of the CDATA section that it is in.
 */
export const rawWithoutSummary = (inner: string): string => strip(inner, hiddenPlaces);

/** Tells, for ascending positions in a text, where summaries are ignored. */
type HiddenPlaces = (text: string) => (index: number) => boolean;

function strip(inner: string, hidden: HiddenPlaces): string {
  // Most comments have none.
  if (!/\[ds/i.test(inner)) return inner;
  let text = inner;
  for (let round = 0; round < ROUNDS; round++) {
    const without = withoutOutermost(text, hidden);
    if (without === text) break;
    // Removing one summary may create another from what surrounded it.
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
    // No text may hold ]]>, so brackets round the summary must not join to it.
    if (/\]$/.test(kept) && /^\]?>/.test(inner.slice(end, end + 2))) kept += ' ';
    from = end;
  }
  return kept + inner.slice(from);
}

/** Nothing inside XML comments and instructions is ours. @param inner Well-formed. */
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

/** Place of the next `]` or `<`, or the end. */
function firstStop(inner: string, from: number): number {
  const found = /[\]<]/g;
  found.lastIndex = from;
  return found.exec(inner)?.index ?? inner.length;
}

/** End of a summary whose text extends to `stop`; undefined when a tag comes first. */
function endOfSummary(inner: string, stop: number): number | undefined {
  if (inner[stop] === '<') return undefined;
  if (stop === inner.length || inner.startsWith(']]>', stop)) return stop;
  return stop + 1;
}

/** Our summary as it goes into a comment; nothing for an empty one. */
export const summaryText = (comment: string): string =>
  comment.trim() === '' ? '' : `[ds: ${comment.trim().replaceAll('[', '(').replaceAll(']', ')')}]`;

/** Our elements in a waypoint: in its extensions, or its children in GPX 1.0. */
export function ownElements(place: WaypointPlace | ElementPlace): readonly ElementPlace[] {
  const own: ElementPlace[] = [];
  for (const child of place.children ?? []) {
    if (isAddition(child)) own.push(child);
    else if (child.local === 'extensions' && child.uri === place.uri)
      own.push(...(child.children ?? []).filter(isAddition));
  }
  return own;
}

const isAddition = (element: ElementPlace): boolean =>
  element.uri === OURS && (element.local === 'waypoint' || element.local === 'boat');

/**
 * True for our elements in a waypoint of the user's that a run replaces.
 *
 * The mark of a boat position that the user renamed stays: it says that the new name is the user's.
 */
export const isReplaced = (element: ElementPlace, isPlain: boolean): boolean =>
  isAddition(element) && (isPlain || element.local === 'waypoint');

/** Parts of a waypoint that an earlier run made or opened, as its element says; undefined without one. */
export function previouslyMade(place: WaypointPlace): ReadonlySet<Made> | undefined {
  const element = ownElements(place).find(({ local }) => local === 'waypoint');
  if (element === undefined) return undefined;
  return new Set((element.attributes?.made ?? '').split(' ') as Made[]);
}

/**
 * `comment`, `extensions`: the element is ours. `...-opened`: it was there, self-closing, and now has an end tag.
 */
export type Made = 'comment' | 'extensions' | 'comment-opened' | 'extensions-opened' | 'waypoint-opened';

/** Our record of the user's name, if we changed the name and ours is still there. */
export function recordedName(place: WaypointPlace | ElementPlace): ElementPlace | undefined {
  const element = ownElements(place).find(({ local }) => local === 'waypoint');
  const record = element?.children?.find((child) => child.uri === OURS && child.local === 'name');
  const name = place.children?.find((child) => child.local === 'name' && child.uri === place.uri);
  return record !== undefined && record.attributes?.as === name?.text ? record : undefined;
}

/** The name that the user gave, when an earlier run changed it; undefined when it did not. */
export const originalName = (place: WaypointPlace | ElementPlace): string | undefined =>
  recordedName(place)?.text?.trim();
