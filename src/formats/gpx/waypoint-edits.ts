import { type Writing, waypointElement } from './addition-xml.ts';
import { type Edit, insertAt, replaceWith } from './edits.ts';
import { asBuffer } from './encoding.ts';
import { escapeXml } from './escape-xml.ts';
import type { AddedValue, ElementPlace, GpxWaypoint, WaypointPlace } from './gpx-document.ts';
import { type GpxLayout, layoutOf, startOfSpace } from './layout.ts';
import {
  isReplaced,
  type Made,
  previouslyMade,
  rawWithoutSummary,
  recordedName,
  summaryText,
} from './previous-additions.ts';

/** Content of one waypoint after the run; everything else in it stays unchanged. */
export interface WaypointContent {
  readonly values: readonly AddedValue[];
  /** Our summary; nothing is written when it is empty. */
  readonly comment: string;
  /** The name to write, when it differs from the user's own. */
  readonly shownName?: string;
}

/** Children that must come before `cmt`. */
const BEFORE_COMMENT = new Set(['ele', 'time', 'magvar', 'geoidheight', 'name']);

/** A waypoint as it is, and as it was before an earlier run of ours. */
interface Base {
  readonly utf8: Uint8Array;
  readonly place: WaypointPlace;
  /** Prefix of GPX elements in it, with the colon. */
  readonly lead: string;
  readonly made: ReadonlySet<Made>;
  readonly comment?: ElementPlace;
  /** XML inside the comment, as written. */
  readonly commentXml: string;
  /** The last `extensions` element, which is the one used. */
  readonly extensions?: ElementPlace;
  /** True for elements of an earlier run that this run replaces. */
  readonly isAddition: (element: ElementPlace) => boolean;
  readonly isCommentOurs: boolean;
  readonly isExtensionsOurs: boolean;
  /** True when the waypoint was self-closing. */
  readonly wasClosed: boolean;
  readonly layout: GpxLayout;
}

/**
 * Edits that put `content` into a waypoint in place of what an earlier run put there.
 *
 * Without content, the waypoint becomes as it was before that run. Insertions go directly after a tag and include the
 * white space before them, so that a later run can remove them without a trace.
 */
export function waypointEdits(
  utf8: Uint8Array,
  waypoint: GpxWaypoint,
  content: WaypointContent | undefined,
  writing: Writing,
): { readonly edits: readonly Edit[]; readonly layout: GpxLayout } {
  const base = readBase(utf8, waypoint.place, writing.isPlain);
  const made: Made[] = [];
  const summary = escapeXml(summaryText(content?.comment ?? ''), writing.encoding);
  const inserted: Edit[] = [];
  const edits: Edit[] = [...nameEdits(base, content, writing)];

  edits.push(...commentEdits(base, summary, made, inserted));
  edits.push(...extensionEdits(base, waypoint, content, writing, made, inserted));
  const { layout } = base;
  if (!base.wasClosed) return { edits: [...edits, ...inserted], layout };

  // The waypoint was self-closing, so everything inside it is ours and is written anew.
  const { place } = base;
  const text = inserted.map(({ bytes }) => asBuffer(bytes).toString('utf8')).join('');
  return { edits: rewriteClosed(place, text === '' ? '' : text + layout.outer), layout };
}

function readBase(utf8: Uint8Array, place: WaypointPlace, isPlain: boolean): Base {
  const isAddition = (element: ElementPlace): boolean => isReplaced(element, isPlain);
  const gpxChildren = place.children.filter(({ uri }) => uri === place.uri);
  const previous = previouslyMade(place);
  const made = previous ?? new Set<Made>();
  const comment = gpxChildren.find(({ local }) => local === 'cmt');
  const commentXml = comment === undefined ? '' : innerXml(utf8, comment);
  const extensions = gpxChildren.findLast(({ local }) => local === 'extensions');
  const isCommentOurs =
    (previous === undefined || made.has('comment')) &&
    commentXml !== '' &&
    rawWithoutSummary(commentXml) === '';
  const isExtensionsOurs =
    made.has('extensions') && extensions !== undefined && (extensions.children ?? []).every(isAddition);
  const children = place.children.filter(
    (child) =>
      !isAddition(child) &&
      !(isCommentOurs && child === comment) &&
      !(isExtensionsOurs && child === extensions),
  );
  return {
    utf8,
    place,
    lead: place.tag.slice(0, place.tag.indexOf(':') + 1),
    made,
    comment,
    commentXml,
    extensions,
    isCommentOurs,
    isExtensionsOurs,
    isAddition,
    wasClosed: place.isSelfClosing || (made.has('waypoint-opened') && children.length === 0),
    layout: layoutOf(utf8, place, children),
  };
}

/** Edits that restore the user's name or replace it by one that the unit can display. */
function nameEdits(base: Base, content: WaypointContent | undefined, writing: Writing): Edit[] {
  const { utf8, place } = base;
  const name = place.children.find((child) => child.local === 'name' && child.uri === place.uri);
  if (name === undefined || name.isSelfClosing) return [];
  const now = innerXml(utf8, name);
  const original = originalRaw(base) ?? now;
  const wanted = content?.shownName === undefined ? original : escapeXml(content.shownName, writing.encoding);
  return wanted === now ? [] : [replaceWith(name.startTagEnd, innerEnd(utf8, name), wanted)];
}

/** XML of the user's name as recorded by an earlier run. */
function originalRaw({ utf8, place }: Base): string | undefined {
  const record = recordedName(place);
  return record === undefined ? undefined : innerXml(utf8, record);
}

function commentEdits(base: Base, summary: string, made: Made[], inserted: Edit[]): Edit[] {
  const { comment, utf8, place } = base;
  if (comment === undefined || (base.wasClosed && base.isCommentOurs)) {
    if (summary === '') return [];
    made.push('comment');
    const before = place.children
      .filter((child) => child.uri === place.uri && BEFORE_COMMENT.has(child.local))
      .at(-1);
    inserted.push(
      insertAt(
        before?.end ?? place.startTagEnd,
        `${base.layout.inner(0)}<${base.lead}cmt>${summary}</${base.lead}cmt>`,
      ),
    );
    return [];
  }
  if (comment.isSelfClosing) {
    if (summary !== '') made.push('comment-opened');
    return rewriteClosed(comment, summary);
  }
  if (base.isCommentOurs) {
    if (summary === '') return [removeWithSpace(utf8, comment)];
    made.push('comment');
  }
  const now = base.commentXml;
  const kept = rawWithoutSummary(now);
  if (kept === '' && base.made.has('comment-opened')) {
    if (summary !== '') made.push('comment-opened');
    return rewriteClosed(comment, summary);
  }
  const wanted = kept !== '' && summary !== '' ? `${kept} ${summary}` : kept + summary;
  return wanted === now ? [] : [replaceWith(comment.startTagEnd, innerEnd(utf8, comment), wanted)];
}

function extensionEdits(
  base: Base,
  waypoint: GpxWaypoint,
  content: WaypointContent | undefined,
  writing: Writing,
  made: Made[],
  inserted: Edit[],
): Edit[] {
  const { utf8, place, extensions, layout, isAddition } = base;
  const edits: Edit[] = [];
  const isWanted = content !== undefined && !writing.isPlain;
  const write = (deeper: number): string => {
    const name =
      content?.shownName === undefined
        ? undefined
        : { raw: originalRaw(base) ?? rawName(base), as: content.shownName };
    return layout.inner(deeper) + waypointElement(writing, layout, deeper, made, name, content?.values ?? []);
  };
  if (base.wasClosed && isWanted) made.push('waypoint-opened');
  for (const child of place.children) if (isAddition(child)) edits.push(removeWithSpace(utf8, child));

  if (!writing.isOld && extensions !== undefined && !base.isExtensionsOurs) {
    const additions = (extensions.children ?? []).filter(isAddition);
    const isOpened =
      extensions.isSelfClosing ||
      (base.made.has('extensions-opened') && additions.length === extensions.children?.length);
    if (isOpened) {
      if (isWanted) made.push('extensions-opened');
      return [...edits, ...rewriteClosed(extensions, isWanted ? write(1) + layout.inner(0) : '')];
    }
    edits.push(...additions.map((child) => removeWithSpace(utf8, child)));
    const last = extensions.children?.filter((child) => !isAddition(child)).at(-1);
    if (isWanted) inserted.push(insertAt(last?.end ?? extensions.startTagEnd, write(1)));
    return edits;
  }
  if (base.isExtensionsOurs && extensions !== undefined) edits.push(removeWithSpace(utf8, extensions));
  if (!isWanted) return edits;
  const last = place.children
    .filter((child) => !isAddition(child) && !(base.isExtensionsOurs && child === extensions))
    .at(-1);
  const at = last?.end ?? place.startTagEnd;
  if (writing.isOld) inserted.push(insertAt(at, write(0)));
  else {
    made.push('extensions');
    inserted.push(
      insertAt(
        at,
        `${layout.inner(0)}<${base.lead}extensions>${write(1)}${layout.inner(0)}</${base.lead}extensions>`,
      ),
    );
  }
  return edits;

  function rawName({ place: { children, uri } }: Base): string {
    const name = children.find((child) => child.local === 'name' && child.uri === uri);
    return name === undefined ? escapeXml(waypoint.name, writing.encoding) : innerXml(utf8, name);
  }
}

/** Edits that give this content to an element that was self-closing, possibly opened by us; empty content closes it. */
function rewriteClosed(place: ElementPlace | WaypointPlace, content: string): Edit[] {
  const { startTagEnd, end, tag } = place;
  if (place.isSelfClosing) {
    if (content === '') return [];
    return [replaceWith(startTagEnd - 2, startTagEnd - 1, ''), insertAt(startTagEnd, `${content}</${tag}>`)];
  }
  if (content === '') return [insertAt(startTagEnd - 1, '/'), replaceWith(startTagEnd, end, '')];
  return [replaceWith(startTagEnd, end, `${content}</${tag}>`)];
}

/** Edit that removes an element with the white space before it. */
export const removeWithSpace = (
  utf8: Uint8Array,
  place: { readonly start: number; readonly end: number },
): Edit => replaceWith(startOfSpace(utf8, place.start), place.end, '');

const innerEnd = (utf8: Uint8Array, element: ElementPlace): number =>
  element.isSelfClosing ? element.end : utf8.lastIndexOf(0x3c, element.end - 1);

/** XML inside an element, as written. */
const innerXml = (utf8: Uint8Array, element: ElementPlace): string =>
  element.isSelfClosing ? '' : asBuffer(utf8).toString('utf8', element.startTagEnd, innerEnd(utf8, element));
