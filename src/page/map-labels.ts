import type { FigurePlace } from './svg.ts';

/**
 * Minimum zoom that shows the labels of each level, screen pixels per figure unit. Level 0 is the whole lake
 * on a phone, level 1 the whole lake on a desktop screen; higher levels need zooming in.
 */
export const ZOOM_LEVELS = [0.46, 0.92, 1.84, 3.7, 7.4];

/** Approximate mean width of a letter of label text, px. */
const LETTER = 8.4;
/** Approximate height of a line of label text, px. */
const LINE = 15;

/**
 * Box of a symbol or label, occupied from zoom level `level` up: `place` of the symbol, figure units;
 * `middle`, offset of the box's center from the symbol, px; and `half`, half the width and half the height,
 * px.
 */
interface Box {
  readonly place: FigurePlace;
  readonly middle: FigurePlace;
  readonly half: FigurePlace;
  readonly level: number;
}

/** Keeps track of what occupies the map: positions in figure units, sizes in pixels. */
export class MapLabels {
  private readonly boxes: Box[] = [];
  private readonly size: FigurePlace;

  /** @param size Width and height of the map, figure units. */
  constructor(size: FigurePlace) {
    this.size = size;
  }

  /** Marks a square around a place as occupied. @param radius Half the side of the square, px. */
  take(place: FigurePlace, radius = 8): void {
    this.boxes.push({ place, middle: [0, 0], half: [radius, radius], level: 0 });
  }

  /**
   * Finds and occupies room for a label next to a symbol.
   *
   * @param radius Radius of the symbol, px.
   * @returns The first zoom level that has room for the label, and the label's offset from the symbol, px;
   * undefined if no level has room.
   */
  beside(place: FigurePlace, text: string, radius: number) {
    const half: FigurePlace = [(text.length * LETTER) / 2, LINE / 2];
    const [away, up] = [radius + 3 + half[0], radius + 2 + half[1]];
    const offsets: FigurePlace[] = [
      [away, 0],
      [-away, 0],
      [0, -up],
      [0, up],
      [away * 0.8, -up * 0.8],
      [-away * 0.8, -up * 0.8],
      [away * 0.8, up * 0.8],
      [-away * 0.8, up * 0.8],
    ];
    for (const level of ZOOM_LEVELS.keys()) {
      const offset = offsets.find((middle) => this.isFree({ place, middle, half, level }));
      if (offset === undefined) continue;
      this.boxes.push({ place, middle: offset, half, level });
      return { level, offset };
    }
    return undefined;
  }

  /** Returns the places to avoid at a zoom level, figure units. */
  takenAt(level: number): FigurePlace[] {
    return this.boxes
      .filter((box) => box.level <= level)
      .flatMap(({ place, middle, half }) =>
        [-1, 0, 1].map(
          (part): FigurePlace => [
            place[0] + (middle[0] + part * Math.max(0, half[0] - LINE / 2)) / ZOOM_LEVELS[level],
            place[1] + middle[1] / ZOOM_LEVELS[level],
          ],
        ),
      );
  }

  private isFree(box: Box): boolean {
    const scale = ZOOM_LEVELS[box.level];
    const at = ({ place, middle }: Box, axis: 0 | 1): number => place[axis] * scale + middle[axis];
    const isInside = ([0, 1] as const).every(
      (axis) =>
        at(box, axis) - box.half[axis] >= 0 && at(box, axis) + box.half[axis] <= this.size[axis] * scale,
    );
    const isApart = (other: Box): boolean =>
      (other.place === box.place && other.half[0] === other.half[1]) ||
      ([0, 1] as const).some(
        (axis) => Math.abs(at(other, axis) - at(box, axis)) >= other.half[axis] + box.half[axis],
      );
    return isInside && this.boxes.every(isApart);
  }
}
