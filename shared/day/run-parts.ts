import { cellsAlong, type EastNorth, type KnownWater, WATER } from './known-water.ts';

export interface RunPlace {
  readonly lat: number;
  readonly lon: number;
}

export interface Run {
  /** Duration, s; Infinity when the shoreline leaves no way. */
  readonly seconds: number;
  /** Standard deviation of the duration, s. */
  readonly sd: number;
  /** Length, m. */
  readonly distance: number;
  /** The least certain kind of water on the way. */
  readonly over: Over;
  /** Parts of the way by kind of water, in order; empty where no line is known. */
  readonly parts: readonly RunPart[];
}

/** Kind of cell under a run: known, unverified inside the shoreline, or unknown (all other states). */
export type Over = 'known' | 'unverified' | 'unknown';

export interface RunPart {
  readonly over: Over;
  /** Length, m. */
  readonly distance: number;
  /** At least two points, deg. */
  readonly line: readonly RunPlace[];
}

/** True for a part that may be drawn and written as a route. */
export const isDrawn = ({ over }: RunPart): boolean => over === 'known';

/** Splits a line where the kind of water under it changes. */
export function partsOf(water: KnownWater, line: readonly EastNorth[]): RunPart[] {
  const parts: { over: Over; distance: number; line: EastNorth[] }[] = [];
  for (let at = 1; at < line.length; at++) {
    const [[east, north], to] = [line[at - 1], line[at]];
    const [toEast, toNorth] = [to[0] - east, to[1] - north];
    const whole = Math.max(Math.hypot(toEast, toNorth), 1e-9);
    let done = 0;
    cellsAlong(water, line[at - 1], to, (cell, length) => {
      const over = overCell(cell < 0 ? WATER.unknown : water.state[cell]);
      const last = parts.at(-1);
      if (last === undefined || last.over !== over) {
        const start = [east + (toEast * done) / whole, north + (toNorth * done) / whole] as const;
        last?.line.push(start);
        parts.push({ over, distance: length, line: [start] });
      } else last.distance += length;
      done += length;
      return true;
    });
    parts.at(-1)!.line.push(to);
  }
  return parts.map((part) => ({
    ...part,
    line: part.line.map(([east, north]) => {
      const [lat, lon] = water.frame.toGeographic(east, north);
      return { lat, lon };
    }),
  }));
}

const overCell = (state: number): Over =>
  state === WATER.known ? 'known' : state === WATER.unverified ? 'unverified' : 'unknown';
