import { pairs, sum } from 'd3-array';
import { distanceToNearest, type FigurePlace } from './svg.ts';

export type LabelPlace = NonNullable<ReturnType<typeof placeOnLine>>;

/**
 * Finds the best place on some lines for a label set into the line: far from the places in `taken`, and on a
 * straight piece.
 *
 * @param lines Lines, figure units. @param taken Places to avoid, figure units.
 * @param clear Minimum distance of the label from the places in `taken`, and minimum length of a line, figure
 * units.
 * @param isAllowed Returns true where a label is allowed (inside the frame, on sounded bottom).
 * @returns The place of the label, and its rotation, deg clockwise, (-90, 90], never upside down; undefined
 * when no place has room.
 */
export function placeOnLine(
  lines: readonly (readonly FigurePlace[])[],
  taken: readonly FigurePlace[],
  clear: number,
  isAllowed: (place: FigurePlace) => boolean,
) {
  let best: { readonly place: FigurePlace; readonly turn: number } | undefined;
  let bestRoom = clear;
  for (const line of lines) {
    if (lengthOf(line) < clear) continue;
    for (let i = 1; i < line.length - 1; i += 1) {
      const place = line[i];
      if (!isAllowed(place)) continue;
      const room = Math.min(90, distanceToNearest(place, taken));
      // Bends only lower the score, so a place with no more room than the best score cannot win.
      if (room <= bestRoom) continue;
      // Labels on straight pieces read better, so bends under the label lower the score.
      const score = room * (0.4 + 0.6 * straightness(line, i));
      if (score > bestRoom) {
        bestRoom = score;
        best = { place, turn: turnAt(line, i) };
      }
    }
  }
  return best;
}

const apart = ([x0, y0]: FigurePlace, [x1, y1]: FigurePlace): number => Math.hypot(x1 - x0, y1 - y0);

const lengthOf = (line: readonly FigurePlace[]): number => sum(pairs(line, apart));

/** Returns how straight a line is around point `i`, 0 to 1: end-to-end distance / length of a short piece. */
function straightness(line: readonly FigurePlace[], i: number): number {
  const piece = line.slice(Math.max(0, i - 2), i + 3);
  const length = lengthOf(piece);
  return length === 0 ? 0 : apart(piece[0], piece.at(-1)!) / length;
}

const turnAt = (line: readonly FigurePlace[], i: number): number =>
  uprightTurn((Math.atan2(line[i + 1][1] - line[i - 1][1], line[i + 1][0] - line[i - 1][0]) * 180) / Math.PI);

/** Returns the rotation that keeps text upright, deg, (-90, 90]. @param degrees Any direction, clockwise. */
export function uprightTurn(degrees: number): number {
  const turn = (((degrees % 180) + 180) % 180) as number;
  return turn > 90 ? turn - 180 : turn;
}
