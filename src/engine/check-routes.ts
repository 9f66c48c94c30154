import type { Waypoint } from '../../shared/contract/index.ts';
import type { ProposedPass } from '../../shared/engine/index.ts';
import { formatRoutesGpx } from '../formats/gpx/index.ts';

/** Name of a mark, or its number among all where it has none. */
export const nameOfMark = ({ name, index }: Waypoint): string => (name === '' ? `#${index + 1}` : name);

/** GPX 1.1 text with a two-point route for each proposed pass. */
export function formatRoutes(passes: readonly ProposedPass[]): string {
  const numbers = new Map<number, number>();
  return formatRoutesGpx(
    passes.map(({ waypoint, reason, from, to, bearing }) => {
      const key = waypoint?.index ?? -1;
      const number = (numbers.get(key) ?? 0) + 1;
      numbers.set(key, number);
      const name = waypoint === undefined ? `TIE ${number}` : `${nameOfMark(waypoint)} P${number}`;
      return {
        name,
        comment: `Run ${Math.round(bearing) % 360} deg true: ${reason}`,
        points: [
          { name: `${name} start`, lon: from[0], lat: from[1] },
          { name: `${name} end`, lon: to[0], lat: to[1] },
        ],
      };
    }),
  );
}
