import type { JsonFile } from '../contract/index.ts';
import { isClosed, type LocalFrame, type Zone, zonesWithin } from '../geo/index.ts';
import { SWING } from './side.ts';

/** Edges of zones are kept to this many times the distance asked for, so that the cut itself lies beyond every cast. */
const MARGIN = 2;

/** Zones within a distance of a mark, cut down to its surroundings. @param radius m. */
export function zonesNear(
  file: JsonFile | undefined,
  { toGeographic }: LocalFrame,
  radius: number,
): readonly Zone[] {
  if (file === undefined) return [];
  const boxOf = (reach: number) => {
    const [south, west] = toGeographic(-reach, -reach);
    const [north, east] = toGeographic(reach, reach);
    return { west, south, east, north };
  };
  const near = boxOf(radius);
  return zonesWithin(file.value as object, file.file, boxOf(MARGIN * radius)).filter(
    ({ box }) =>
      box.west <= near.east && box.east >= near.west && box.south <= near.north && box.north >= near.south,
  );
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
