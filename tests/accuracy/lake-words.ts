import { makeLake } from '../../fixtures/lakes/lake.ts';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { blockSoundings, localRows, modelBlocked, SURFACE_RADIUS, unseenOf } from '../../shared/bottom/index.ts';
import type { Soundings } from '../../shared/contract/soundings.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { lakeBottom } from '../../shared/lake/lake-bottom.ts';
import { makeLakeGrid } from '../../shared/lake/lake-grid.ts';
import { indexSurvey } from '../../shared/survey/index.ts';
import { describeStructure } from '../../shared/structure/index.ts';
import { findStructure } from '../../shared/structure/structure.ts';
import { forEachRealScene } from './real-scenes.ts';
import { triangulate } from './triangulated.ts';

type Print = (line: string) => void;
interface Word { readonly word: string; readonly confidence: number; readonly drop: number }
type Words = (Word | undefined)[];
type Place = readonly [lat: number, lon: number];

export function words(soundings: Soundings, places: readonly Place[], withLake: boolean): Words {
  const survey = soundings as never;
  const index = indexSurvey(survey);
  const unseen = unseenOf(survey, index);
  const grid = withLake ? makeLakeGrid(soundings) : undefined;
  const lake = grid && lakeBottom(grid, [], []);
  let cpu = 0;
  const out = places.map(([lat, lon]) => {
    const rows = localRows(survey, index.within(lat, lon, SURFACE_RADIUS), lat, lon);
    const model = modelBlocked(blockSoundings(rows), lat, lon, { unseen });
    const c = process.cpuUsage();
    const found = findStructure(model, lake);
    const d = process.cpuUsage(c); cpu += d.user + d.system;
    return found === undefined ? undefined : { word: found.word, confidence: found.confidence, drop: found.relief, reason: describeStructure(found, 'm').reason };
  });
  if (process.env.CPU) console.log('ms a mark', withLake, cpu / 1000 / places.length);
  return out;
}
export const lakeWords = (s: Soundings, p: readonly Place[]): Words => words(s, p, true);
export const markWords = (s: Soundings, p: readonly Place[]): Words => words(s, p, false);

export function printWords(print: Print): void {
  const totals = { lake: new Tally(), mark: new Tally(), lakeTurn: new Tally(), markTurn: new Tally() };
  for (const [name, options] of [['family c', { family: 'c', roughness: 0 }], ['rough c', { family: 'c', roughness: 0.08 }]] as const) {
    const [l, m] = [new Tally(), new Tally()];
    for (const seed of [83_000_000, 84_000_000]) {
      const lake = makeLake({ seed, perWord: 4, ...options } as never);
      const mid = [lake.width / 2, lake.height / 2] as const;
      const s = toSoundings(simulateSurvey(lake, { seed, spacing: 25, center: mid, radius: Math.hypot(...mid) }), 37, -86);
      const frame = localFrame(37, -86);
      const places = lake.marks.map(({ east, north }) => frame.toGeographic(east, north));
      const truth = lake.marks.map(({ word }) => ({ word, confidence: 1, drop: 1 }));
      l.add(lakeWords(s, places), truth); m.add(markWords(s, places), truth);
    }
    print(`made ${name}: lake ${l.text()}\n   ${l.worst()}\n   mark ${m.text()}\n   ${m.worst()}`);
  }
  forEachRealScene(print, (scene) => {
    const truth = scene.truth();
    const frame = localFrame(scene.soundings.lat[0], scene.soundings.lon[0]);
    const at = truth.map(([lat, lon]) => frame.toLocal(lat, lon));
    const bottom = triangulate(at.map(([e]) => e), at.map(([, n]) => n), truth.map(([, , d]) => d), 25);
    const places = scene.marks.map(({ lat, lon }): Place => [lat, lon]);
    const local = places.map(([lat, lon]) => frame.toLocal(lat, lon));
    const mid = [0, 1].map((k) => (Math.min(...local.map((p) => p[k])) + Math.max(...local.map((p) => p[k]))) / 2) as [number, number];
    const radius = Math.max(...local.map(([e, n]) => Math.hypot(e - mid[0], n - mid[1]))) + 130;
    const all = simulateSurvey({ depth: (e, n) => bottom.at(e, n) }, { seed: 1, spacing: 8, jitter: 0, center: mid, radius, heading: 30, noise: 0.02, bias: 0, offset: 0, wander: 0 });
    const keep = [...all.depth.keys()].filter((k) => all.depth[k] > 0);
    const pick = (c: Float64Array) => Float64Array.from(keep, (k) => c[k]);
    const g = toSoundings({ count: keep.length, east: pick(all.east), north: pick(all.north), depth: pick(all.depth), pass: Int32Array.from(keep, (k) => all.pass[k]), time: pick(all.time) }, frame.lat, frame.lon);
    const sparse = { l: lakeWords(scene.soundings, places), m: markWords(scene.soundings, places) };
    const dense = { l: lakeWords(g, places), m: markWords(g, places) };
    const turned = { ...scene.soundings, ...turn(scene.soundings, frame) };
    const turnedPlaces = turn({ lat: Float64Array.from(places, (p) => p[0]), lon: Float64Array.from(places, (p) => p[1]) }, frame);
    const tp = places.map((_, k): Place => [turnedPlaces.lat[k], turnedPlaces.lon[k]]);
    const both = { l: new Tally(), m: new Tally(), lt: new Tally(), mt: new Tally() };
    for (const [t, tt] of [[both.l, both.lt], [totals.lake, totals.lakeTurn]]) { t.add(sparse.l, dense.l); tt.add(lakeWords(turned as Soundings, tp), sparse.l); }
    for (const [t, tt] of [[both.m, both.mt], [totals.mark, totals.markTurn]]) { t.add(sparse.m, dense.m); tt.add(markWords(turned as Soundings, tp), sparse.m); }
    print(`${scene.site} ${scene.way}: lake ${both.l.text()} turned ${both.lt.text()}; mark ${both.m.text()} turned ${both.mt.text()}`);
  });
  print(`all: lake ${totals.lake.text()} turned ${totals.lakeTurn.text()}\n    ${totals.lake.worst()}`);
  print(`all: mark ${totals.mark.text()} turned ${totals.markTurn.text()}\n    ${totals.mark.worst()}`);
}

function turn({ lat, lon }: { lat: Float64Array; lon: Float64Array }, frame: ReturnType<typeof localFrame>) {
  const [c, s] = [Math.cos(Math.PI / 6), Math.sin(Math.PI / 6)];
  const out = { lat: new Float64Array(lat.length), lon: new Float64Array(lat.length) };
  for (let k = 0; k < lat.length; k++) {
    const [e, n] = frame.toLocal(lat[k], lon[k]);
    [out.lat[k], out.lon[k]] = frame.toGeographic(c * e - s * n, s * e + c * n);
  }
  return out;
}

class Tally {
  n = 0; same = 0; sure = 0; sureSame = 0; none = 0; mistakes = new Map<string, number>(); words = new Map<string, number>();
  add(found: Words, truth: Words) {
    found.forEach((f, k) => {
      const t = truth[k];
      if (f === undefined || t === undefined) { this.none++; return; }
      this.n++;
      this.words.set(f.word, (this.words.get(f.word) ?? 0) + 1);
      if (f.word === t.word) this.same++;
      else { const key = `${t.word}>${f.word}`; this.mistakes.set(key, (this.mistakes.get(key) ?? 0) + 1); }
      if (f.confidence >= 0.8) { this.sure++; if (f.word === t.word) this.sureSame++; }
    });
  }
  text() { return `${(this.same / this.n).toFixed(3)} of ${this.n} (none ${this.none}), at .8 ${(this.sureSame / this.sure).toFixed(3)} of ${this.sure}`; }
  worst() { return [...this.mistakes].sort((a, b) => b[1] - a[1]).slice(0, 14).map(([k, v]) => `${k} ${v}`).join(', ') + ' | ' + [...this.words].map(([k, v]) => `${k} ${v}`).join(', '); }
}
