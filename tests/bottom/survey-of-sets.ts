import { type LocalSoundings, toSoundings } from '../../fixtures/lakes/survey.ts';
import type { Survey } from '../../shared/contract/soundings.ts';

/** One survey made of several sets of passes around a place, like several years of logs. */
export function surveyOfSets(sets: readonly LocalSoundings[], lat: number, lon: number): Survey {
  const placed = sets.map((set) => toSoundings(set, lat, lon));
  const join = (name: 'lat' | 'lon' | 'depth' | 'time' | 'weight' | 'shallowest'): number[] =>
    placed.flatMap((set) => [...set[name]]);
  const pass = placed.flatMap((set, number) => [...set.pass].map((own) => own + 1000 * number));
  return {
    count: pass.length,
    lat: Float64Array.from(join('lat')),
    lon: Float64Array.from(join('lon')),
    depth: Float32Array.from(join('depth')),
    time: Float64Array.from(join('time')),
    weight: Float32Array.from(join('weight')),
    shallowest: Float32Array.from(join('shallowest')),
    pass: Int32Array.from(pass),
    log: new Int32Array(pass.length),
    logs: [],
  };
}
