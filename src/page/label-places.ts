import { distanceToNearest, type FigurePlace } from './svg.ts';

/** Where a label on a line stands and how it is turned. */
export interface LabelPlace {
  readonly place: FigurePlace;
  /** deg, clockwise, (-90, 90]: never upside down. */
  readonly turn: number;
}

/**
 * The place on some lines that is farthest from everything already there, for a label set into the line.
 *
 * @param lines In figure units. @param taken Places to keep clear of. @param clear Least distance from them.
 * @param isAllowed Whether a label may stand at a place (inside the frame, on sounded ground).
 * @returns Undefined when every place on the lines is too close to something.
 */
export function placeOnLine(
  lines: readonly (readonly FigurePlace[])[],
  taken: readonly FigurePlace[],
  clear: number,
  isAllowed: (place: FigurePlace) => boolean,
): LabelPlace | undefined {
  let best: LabelPlace | undefined;
  let bestRoom = clear;
  for (const line of lines) {
    if (lengthOf(line) < clear) continue;
    for (let i = 1; i < line.length - 1; i += 1) {
      const place = line[i];
      if (!isAllowed(place)) continue;
      const room = Math.min(90, distanceToNearest(place, taken));
      // Straightness can only take away: a place that is too close already needs no more work.
      if (room <= bestRoom) continue;
      // Straight pieces read better: the room counts less where the line bends under the label.
      const score = room * (0.4 + 0.6 * straightness(line, i));
      if (score > bestRoom) {
        bestRoom = score;
        best = { place, turn: turnAt(line, i) };
      }
    }
  }
  return best;
}

function lengthOf(line: readonly FigurePlace[]): number {
  let length = 0;
  for (let i = 1; i < line.length; i += 1) {
    length += Math.hypot(line[i][0] - line[i - 1][0], line[i][1] - line[i - 1][1]);
  }
  return length;
}

/** Chord over path length of the piece around a place, 0 to 1. */
function straightness(line: readonly FigurePlace[], i: number): number {
  const piece = line.slice(Math.max(0, i - 2), i + 3);
  const [first, last] = [piece[0], piece[piece.length - 1]];
  const length = lengthOf(piece);
  return length === 0 ? 0 : Math.hypot(last[0] - first[0], last[1] - first[1]) / length;
}

function turnAt(line: readonly FigurePlace[], i: number): number {
  const [before, after] = [line[Math.max(0, i - 1)], line[Math.min(line.length - 1, i + 1)]];
  return uprightTurn((Math.atan2(after[1] - before[1], after[0] - before[0]) * 180) / Math.PI);
}

/** A turn that keeps text readable from below. @param degrees Any, clockwise on the figure. */
export function uprightTurn(degrees: number): number {
  const turn = (((degrees % 180) + 180) % 180) as number;
  return turn > 90 ? turn - 180 : turn;
}
