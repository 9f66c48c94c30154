import { asBuffer } from './encoding.ts';
import type { ElementPlace, WaypointPlace } from './gpx-document.ts';

/** White space to put before new elements, in the style of the file; empty where there is no line break. */
export interface GpxLayout {
  /** White space before a waypoint. */
  readonly outer: string;
  /** Returns the white space before an element `deeper` levels below a child of the waypoint. */
  inner(deeper: number): string;
}

/**
 * Finds the layout around one waypoint.
 *
 * @param children Children of the waypoint, without our additions.
 */
export function layoutOf(
  utf8: Uint8Array,
  place: WaypointPlace,
  children: readonly ElementPlace[],
): GpxLayout {
  const outer = lineBefore(utf8, place.start);
  const first = children.length > 0 ? lineBefore(utf8, children[0].start) : outer && `${outer}  `;
  const unit = first.startsWith(outer) && first.length > outer.length ? first.slice(outer.length) : '';
  return { outer, inner: (deeper) => (first === '' ? '' : first + unit.repeat(deeper)) };
}

/** Returns the line break and the indentation directly before `at`; empty if there is no line break. */
function lineBefore(utf8: Uint8Array, at: number): string {
  let start = at;
  while (start > 0 && (utf8[start - 1] === 0x20 || utf8[start - 1] === 0x09)) start--;
  const last = utf8[start - 1];
  if (last !== 0x0a && last !== 0x0d) return '';
  start -= last === 0x0a && utf8[start - 2] === 0x0d ? 2 : 1;
  return asBuffer(utf8).toString('latin1', start, at);
}

/** Returns the start of the white space before `at` if that white space follows a tag, otherwise `at`. */
export function startOfSpace(utf8: Uint8Array, at: number): number {
  let start = at;
  while (start > 0 && utf8[start - 1] <= 0x20) start--;
  return start > 0 && utf8[start - 1] === 0x3e ? start : at;
}
