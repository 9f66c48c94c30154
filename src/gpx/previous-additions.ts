import type { ElementPlace, WaypointPlace } from './gpx-document.ts';
import { OURS } from './namespaces.ts';

/**
 * What we put at the end of a comment: `[ds: ...]`, so that it is found again without extension elements.
 *
 * A unit may cut it (no bracket at the end) or write it in capitals; in CDATA its end may be that of the section.
 */
const SUMMARY = / ?\[ds(?::[^\]<]*(?:\](?!\]>)|(?=\]\]>)|$)|$)/gi;

/** A comment's text without our summary. */
export const withoutSummary = (comment: string): string => rawWithoutSummary(comment).trim();

/**
 * XML inside `cmt` without our summary, otherwise as it was.
 *
 * A blank stands where brackets round it would join to `]]>`, which no text may hold.
 */
export function rawWithoutSummary(inner: string): string {
  const without = inner.replace(SUMMARY, (found, offset: number) => {
    const before = inner.slice(0, offset);
    const after = inner.slice(offset + found.length);
    const joins =
      (before.endsWith(']]') && after.startsWith('>')) || (before.endsWith(']') && after.startsWith(']>'));
    return joins ? ' ' : '';
  });
  // What stood round it may make another.
  return without === inner ? inner : rawWithoutSummary(without);
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
 * True for our elements in a waypoint of the person's that a run replaces.
 *
 * The mark of a boat position that the person renamed stays: it says that the new name is the person's.
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

/** Our record of the name that the person gave, when we changed it and it still is what we wrote. */
export function recordedName(place: WaypointPlace | ElementPlace): ElementPlace | undefined {
  const element = ownElements(place).find(({ local }) => local === 'waypoint');
  const record = element?.children?.find((child) => child.uri === OURS && child.local === 'name');
  const name = place.children?.find((child) => child.local === 'name' && child.uri === place.uri);
  return record !== undefined && record.attributes?.as === name?.text ? record : undefined;
}

/** The name that the person gave, when an earlier run changed it; undefined when it did not. */
export const originalName = (place: WaypointPlace | ElementPlace): string | undefined =>
  recordedName(place)?.text?.trim();
