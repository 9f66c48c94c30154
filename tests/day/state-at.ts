import { cellAt, type KnownWater, WATER } from '../../shared/day/known-water.ts';

/** Returns the state of the water at a place, deg; unknown outside the map. */
export function stateAt(water: KnownWater, lat: number, lon: number): number {
  const cell = cellAt(water, water.frame.toLocal(lat, lon));
  return cell < 0 ? WATER.unknown : water.state[cell];
}
