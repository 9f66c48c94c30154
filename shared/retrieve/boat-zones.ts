import type { JsonFile } from '../contract/index.ts';
import {
  type Box,
  boxesMeet,
  hasEdgesIn,
  isClosed,
  type LocalFrame,
  type Zone,
  zonesOf,
} from '../geo/index.ts';
import { SWING, SWINGS } from './side.ts';

/**
 * Returns the zones whose bounding boxes meet a square around a mark.
 *
 * @param radius Half the side of the square, m.
 */
export function zonesNear(file: JsonFile | undefined, frame: LocalFrame, radius: number): readonly Zone[] {
  if (file === undefined) return [];
  const near = boxAround(frame, 0, 0, radius);
  return zonesOf(file).filter(({ box }) => boxesMeet(box, near));
}

function boxAround({ toGeographic }: LocalFrame, east: number, north: number, reach: number): Box {
  const [south, west] = toGeographic(east - reach, north - reach);
  const [top, right] = toGeographic(east + reach, north + reach);
  return { west, south, east: right, north: top };
}

/**
 * Returns a function that tells whether a boat may lie at a place, m east and north of the mark. The boat may
 * neither lie nor swing in a zone that is closed at any hour. The function caches its answers.
 *
 * @returns undefined if no zone is closed.
 */
export function openWater(
  zones: readonly Zone[],
  frame: LocalFrame,
): ((east: number, north: number) => boolean) | undefined {
  const closed = zones.filter(({ rule }) => rule === 'closed');
  if (closed.length === 0) return undefined;
  const edges = closed.flatMap((zone) => zone.edges);
  const isOpen = (east: number, north: number): boolean => {
    const swing = hasEdgesIn(edges, boxAround(frame, east, north, SWING)) ? SWINGS : [];
    return [[0, 0] as const, ...swing].every(
      ([de, dn]) => !isClosed(closed, ...frame.toGeographic(east + de, north + dn)),
    );
  };
  const known = new Map<string, boolean>();
  return (east, north) => {
    const key = `${east} ${north}`;
    const answer = known.get(key) ?? isOpen(east, north);
    known.set(key, answer);
    return answer;
  };
}
