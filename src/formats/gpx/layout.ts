import { asBuffer } from './encoding.ts';
import type { ElementPlace, WaypointPlace } from './gpx-document.ts';

/** White space to put before elements, as the file has it; all empty in a file without line breaks. */
export interface GpxLayout {
  /** Before a waypoint. */
  readonly outer: string;
  /** Before a child of a waypoint, and before elements one, two ... levels deeper. */
  inner(deeper: number): string;
}

/**
 * Layout around one waypoint.
 *
 * @param children Those that stand in the waypoint without our additions.
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

/** The last line break in the white space before `at`, and what follows it; empty without one. */
function lineBefore(utf8: Uint8Array, at: number): string {
  let start = at;
  while (start > 0 && (utf8[start - 1] === 0x20 || utf8[start - 1] === 0x09)) start--;
  const last = utf8[start - 1];
  if (last !== 0x0a && last !== 0x0d) return '';
  start -= last === 0x0a && utf8[start - 2] === 0x0d ? 2 : 1;
  return asBuffer(utf8).toString('latin1', start, at);
}

/** Where the white space before `at` starts, when a tag ends there; else `at`: what follows text is left alone. */
export function startOfSpace(utf8: Uint8Array, at: number): number {
  const start = firstSpace(utf8, at);
  return start > 0 && utf8[start - 1] === 0x3e ? start : at;
}

function firstSpace(utf8: Uint8Array, at: number): number {
  let start = at;
  while (start > 0 && utf8[start - 1] <= 0x20) start--;
  return start;
}
