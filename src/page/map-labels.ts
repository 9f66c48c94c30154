import type { FigurePlace } from './svg.ts';

/**
 * Screen pixels per figure unit from which the labels of each level are shown: the whole lake on a phone, on a
 * desktop screen, and zoomed in. Labels keep their size on the screen, so more of them have room at higher zoom.
 */
export const ZOOM_LEVELS = [0.46, 0.92, 1.84, 3.7, 7.4];

/** Approximate width of a letter and height of a line of label text, px. */
const LETTER = 8.4;
const LINE = 15;

/** A label next to a symbol: the zoom level from which it has room, and its offset from the symbol, px. */
export interface MapLabel {
  readonly level: number;
  readonly offset: FigurePlace;
}

/** Keeps track of what occupies the map: positions in figure units, sizes in pixels. */
export interface MapLabels {
  /** Marks a place as occupied. @param radius px. */
  take(place: FigurePlace, radius?: number): void;
  /**
   * Finds and occupies room for a label next to a symbol; undefined when there is none at any zoom level. @param
   * radius Radius of the symbol, px.
   */
  beside(place: FigurePlace, text: string, radius: number): MapLabel | undefined;
  /** Places to avoid at a zoom level, figure units. */
  takenAt(level: number): FigurePlace[];
}

/** Something on the map: its place in figure units, and a box around it in pixels. */
interface Box {
  readonly place: FigurePlace;
  readonly middle: FigurePlace;
  readonly half: FigurePlace;
  readonly level: number;
}

/** @param width Width of the map, figure units. @param height Height of the map, figure units. */
export function mapLabels(width: number, height: number): MapLabels {
  const boxes: Box[] = [];
  const isFree = (box: Box, scale: number): boolean => {
    const [x, y] = [box.place[0] * scale + box.middle[0], box.place[1] * scale + box.middle[1]];
    if (x - box.half[0] < 0 || x + box.half[0] > width * scale) return false;
    if (y - box.half[1] < 0 || y + box.half[1] > height * scale) return false;
    return boxes.every(
      ({ place, middle, half }) =>
        (place === box.place && half[0] === half[1]) ||
        Math.abs(place[0] * scale + middle[0] - x) >= half[0] + box.half[0] ||
        Math.abs(place[1] * scale + middle[1] - y) >= half[1] + box.half[1],
    );
  };
  return {
    take: (place, radius = 8) => {
      boxes.push({ place, middle: [0, 0], half: [radius, radius], level: 0 });
    },
    beside(place, text, radius) {
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
      for (const [level, scale] of ZOOM_LEVELS.entries()) {
        const offset = offsets.find((middle) => isFree({ place, middle, half, level }, scale));
        if (offset === undefined) continue;
        boxes.push({ place, middle: offset, half, level });
        return { level, offset };
      }
      return undefined;
    },
    takenAt: (level) =>
      boxes
        .filter((box) => box.level <= level)
        .flatMap(({ place, middle, half }) =>
          [-1, 0, 1].map(
            (part): FigurePlace => [
              place[0] + (middle[0] + part * Math.max(0, half[0] - LINE / 2)) / ZOOM_LEVELS[level],
              place[1] + middle[1] / ZOOM_LEVELS[level],
            ],
          ),
        ),
  };
}
