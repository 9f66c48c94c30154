import type { JsonFile } from '../contract/index.ts';
import { boxesMeet, isClosed, type LocalFrame, type Zone, zonesOf } from '../geo/index.ts';
import { SWING } from './side.ts';

/** Zones whose box comes within a distance of a mark. @param radius m. */
export function zonesNear(
  file: JsonFile | undefined,
  { toGeographic }: LocalFrame,
  radius: number,
): readonly Zone[] {
  if (file === undefined) return [];
  const [south, west] = toGeographic(-radius, -radius);
  const [north, east] = toGeographic(radius, radius);
  return zonesOf(file).filter(({ box }) => boxesMeet(box, { west, south, east, north }));
}

/** The boat may swing this way, on a ring round its position. */
const TURNS = Array.from({ length: 8 }, (_, turn) => (turn * Math.PI) / 4);
const AROUND = [[0, 0], ...TURNS.map((angle) => [SWING * Math.sin(angle), SWING * Math.cos(angle)])] as const;

/**
 * Where a boat may lie: neither it nor its swing is in a closed zone, at any hour of the day.
 *
 * @returns undefined when no closed zone is near.
 */
export function openWater(
  zones: readonly Zone[],
  { toGeographic }: LocalFrame,
): ((east: number, north: number) => boolean) | undefined {
  const closed = zones.filter(({ rule }) => rule === 'closed');
  if (closed.length === 0) return undefined;
  return (east, north) =>
    AROUND.every(([de, dn]) => {
      const [lat, lon] = toGeographic(east + de, north + dn);
      return !isClosed(closed, lat, lon);
    });
}
