import type { Soundings } from '../contract/index.ts';
import { metersPerDegree } from '../geo/index.ts';
import { shortTurn } from './steps.ts';

/** East and north of all rows relative to the first, m, on a flat frame: accurate enough to compare passes. */
export function flatten({ count, lat, lon }: Pick<Soundings, 'count' | 'lat' | 'lon'>): {
  east: Float64Array;
  north: Float64Array;
} {
  const east = new Float64Array(count);
  const north = new Float64Array(count);
  const [perLat, perLon] = metersPerDegree(count > 0 ? lat[0] : 0);
  for (let i = 0; i < count; i++) {
    east[i] = shortTurn(lon[i] - lon[0]) * perLon;
    north[i] = (lat[i] - lat[0]) * perLat;
  }
  return { east, north };
}

/** True for one cell in `share`, spread evenly by a multiplicative hash (Knuth's constant). */
export function isSampled(column: number, row: number, share: number): boolean {
  const mixed = Math.imul(column, 0x9e3779b1) ^ Math.imul(row, 0x85ebca6b);
  return (Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d) >>> 8) % share === 0;
}
