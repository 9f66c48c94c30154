import { type Writing, waypointElement } from './addition-xml.ts';
import { type Edit, insertAt, replaceWith } from './edits.ts';
import { asBuffer } from './encoding.ts';
import { escapeXml } from './escape-xml.ts';
import type { AddedValue, ElementPlace, GpxWaypoint } from './gpx-document.ts';
import { type GpxLayout, layoutOf, startOfSpace } from './layout.ts';
import {
  isReplaced,
  type Made,
  previouslyMade,
  rawWithoutSummary,
  recordedName,
  summaryText,
} from './previous-additions.ts';

/** What a run writes into one waypoint. */
export interface WaypointContent {
  readonly values: readonly AddedValue[];
  /** Our summary; nothing is written when it is empty. */
  readonly comment: string;
  /** The name to write, when it differs from the user's own. */
  readonly shownName?: string;
}

/** Children that come before `cmt` in the GPX schema. */
const BEFORE_COMMENT = new Set(['ele', 'time', 'magvar', 'geoidheight', 'name']);

/** Present state of a waypoint, its state before an earlier run, and what this run puts in. */
type Base = ReturnType<typeof readBase>;

/**
 * Returns the edits that put `content` into a waypoint in place of what an earlier run put there.
 *
 * Without content, the waypoint is restored to what it was before that run. New elements go directly after a
 * tag and include the white space before them, so that a later run can remove them without a trace.
 *
 * @returns `layout`: the white space around new elements of the waypoint.
 */
export function waypointEdits(
  utf8: Uint8Array,
  waypoint: GpxWaypoint,
  content: WaypointContent | undefined,
  writing: Writing,
): { readonly edits: readonly Edit[]; readonly layout: GpxLayout } {
  const base = readBase(utf8, waypoint, content, writing);
  const { layout, place, wasClosed } = base;
  const edits = [...nameEdits(base), ...commentEdits(base), ...extensionEdits(base)];
  if (!wasClosed) return { edits, layout };
  // The waypoint was self-closing, so everything inside it is ours and is written anew.
  const text = edits.map(({ bytes }) => asBuffer(bytes).toString('utf8')).join('');
  return { edits: rewriteClosed(place, text === '' ? '' : text + layout.outer), layout };
}

function readBase(
  utf8: Uint8Array,
  { place, name: shown }: GpxWaypoint,
  content: WaypointContent | undefined,
  writing: Writing,
) {
  const isAddition = (element: ElementPlace): boolean => isReplaced(element, writing.isPlain);
  const gpxChildren = place.children.filter(({ uri }) => uri === place.uri);
  const previous = previouslyMade(place);
  const wasMade = previous ?? new Set<Made>();
  const name = gpxChildren.find(({ local }) => local === 'name');
  const named = recordedName(place) ?? name;
  const comment = gpxChildren.find(({ local }) => local === 'cmt');
  const commentXml = comment === undefined ? '' : innerXml(utf8, comment);
  const extensions = gpxChildren.findLast(({ local }) => local === 'extensions');
  const isCommentOurs =
    (previous === undefined || wasMade.has('comment')) &&
    commentXml !== '' &&
    rawWithoutSummary(commentXml) === '';
  const isExtensionsOurs =
    wasMade.has('extensions') && extensions !== undefined && (extensions.children ?? []).every(isAddition);
  const children = place.children.filter(
    (child) => !isAddition(child) && !(isExtensionsOurs && child === extensions),
  );
  const usersOwn = children.filter((child) => !(isCommentOurs && child === comment));
  return {
    ...{ utf8, place, content, writing, isAddition, isCommentOurs, isExtensionsOurs },
    ...{ name, comment, commentXml, extensions },
    /** Children without our elements, and without `extensions` that we made. */
    children,
    /** Parts that an earlier run made or opened. */
    wasMade,
    /** Parts that this run makes or opens, filled in while its edits are made. */
    made: [] as Made[],
    /** Prefix of GPX elements in the waypoint, with the colon. */
    lead: place.tag.slice(0, place.tag.indexOf(':') + 1),
    /** XML of the user's name. */
    originalName: named === undefined ? escapeXml(shown, writing.encoding) : innerXml(utf8, named),
    wasClosed: place.isSelfClosing || (wasMade.has('waypoint-opened') && usersOwn.length === 0),
    layout: layoutOf(utf8, place, usersOwn),
  };
}

function nameEdits({ utf8, name, content, writing, originalName, wasClosed }: Base): Edit[] {
  if (name === undefined || name.isSelfClosing || wasClosed) return [];
  const wanted =
    content?.shownName === undefined ? originalName : escapeXml(content.shownName, writing.encoding);
  const edit = replaceWith(name.startTagEnd, innerEnd(utf8, name), wanted);
  return wanted === innerXml(utf8, name) ? [] : [edit];
}

function commentEdits(base: Base): Edit[] {
  const { comment, commentXml, utf8, place, wasMade, made, lead } = base;
  const summary = escapeXml(summaryText(base.content?.comment ?? ''), base.writing.encoding);
  if (comment === undefined || (base.wasClosed && base.isCommentOurs)) {
    if (summary === '') return [];
    made.push('comment');
    const before = place.children.findLast(
      ({ uri, local }) => uri === place.uri && BEFORE_COMMENT.has(local),
    );
    const text = `${base.layout.inner(0)}<${lead}cmt>${summary}</${lead}cmt>`;
    return [insertAt(before?.end ?? place.startTagEnd, text)];
  }
  if (base.isCommentOurs) {
    if (summary === '') return [removeWithSpace(utf8, comment)];
    made.push('comment');
  }
  const kept = rawWithoutSummary(commentXml);
  if (comment.isSelfClosing || (kept === '' && wasMade.has('comment-opened'))) {
    if (summary !== '') made.push('comment-opened');
    return rewriteClosed(comment, summary);
  }
  const wanted = kept !== '' && summary !== '' ? `${kept} ${summary}` : kept + summary;
  return wanted === commentXml ? [] : [replaceWith(comment.startTagEnd, innerEnd(utf8, comment), wanted)];
}

function extensionEdits(base: Base): Edit[] {
  const { utf8, place, content, writing, made, lead, extensions, children, layout, isAddition } = base;
  const isWanted = content !== undefined && !writing.isPlain;
  const write = (deeper: number): string => {
    const { shownName: as, values } = content!;
    const name = as === undefined ? undefined : { raw: base.originalName, as };
    return layout.inner(deeper) + waypointElement(writing, layout, deeper, made, name, values);
  };
  const remove = (elements: readonly ElementPlace[]) => elements.map((each) => removeWithSpace(utf8, each));
  if (base.wasClosed && isWanted) made.push('waypoint-opened');
  const edits = base.wasClosed ? [] : remove(place.children.filter(isAddition));

  if (!writing.isOld && extensions !== undefined && !base.isExtensionsOurs) {
    const inner = extensions.children ?? [];
    const isOpened =
      extensions.isSelfClosing || (base.wasMade.has('extensions-opened') && inner.every(isAddition));
    if (isOpened) {
      if (isWanted) made.push('extensions-opened');
      return [...edits, ...rewriteClosed(extensions, isWanted ? write(1) + layout.inner(0) : '')];
    }
    edits.push(...remove(inner.filter(isAddition)));
    const last = inner.findLast((child) => !isAddition(child));
    return isWanted ? [...edits, insertAt(last?.end ?? extensions.startTagEnd, write(1))] : edits;
  }
  if (base.isExtensionsOurs && !base.wasClosed) edits.push(...remove([extensions!]));
  if (!isWanted) return edits;
  const at = children.at(-1)?.end ?? place.startTagEnd;
  if (writing.isOld) return [...edits, insertAt(at, write(0))];
  made.push('extensions');
  const text = `${layout.inner(0)}<${lead}extensions>${write(1)}${layout.inner(0)}</${lead}extensions>`;
  return [...edits, insertAt(at, text)];
}

/** Returns the edits that fill an element that was self-closing, or close it again if `content` is empty. */
function rewriteClosed(place: ElementPlace, content: string): Edit[] {
  const { startTagEnd, end, tag } = place;
  if (place.isSelfClosing) {
    if (content === '') return [];
    return [replaceWith(startTagEnd - 2, startTagEnd - 1, ''), insertAt(startTagEnd, `${content}</${tag}>`)];
  }
  if (content === '') return [insertAt(startTagEnd - 1, '/'), replaceWith(startTagEnd, end, '')];
  return [replaceWith(startTagEnd, end, `${content}</${tag}>`)];
}

export const removeWithSpace = (
  utf8: Uint8Array,
  place: { readonly start: number; readonly end: number },
): Edit => replaceWith(startOfSpace(utf8, place.start), place.end, '');

const innerEnd = (utf8: Uint8Array, element: ElementPlace): number =>
  element.isSelfClosing ? element.end : utf8.lastIndexOf(0x3c, element.end - 1);

const innerXml = (utf8: Uint8Array, element: ElementPlace): string =>
  element.isSelfClosing ? '' : asBuffer(utf8).toString('utf8', element.startTagEnd, innerEnd(utf8, element));
