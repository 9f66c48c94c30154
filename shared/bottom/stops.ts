import type { Survey } from '../contract/index.ts';
import { MEAN_METERS_PER_DEGREE } from '../geo/index.ts';

/** Place on a pass at which a depth is predicted, deg. */
export interface PassStop {
  readonly lat: number;
  readonly lon: number;
  /** True for the stops of greatest curvature or prominence, because anglers drop marks there. */
  readonly isMarkLike: boolean;
}

/** Length of track that a stop averages, m. */
const STEP = 4;
/** Number of steps on each side of a stop over which curvature is measured (8 m). */
const BEND = 2;
/** Number of steps on each side of a stop (20 m) that are averaged to measure its prominence. */
const AROUND = 5;
const MARK_SHARE = 0.15;
const TAKEN_MARKS = 150;
const TAKEN_OTHERS = 50;
/** Jump in position above which a run of soundings ends, m. */
const GAP = 20;

/** Mean positions, deg, and mean depths, m, of the steps along one run. */
interface Run {
  readonly lat: number[];
  readonly lon: number[];
  readonly depth: number[];
}

/** Picks up to `TAKEN_MARKS` mark-like stops and `TAKEN_OTHERS` other stops, evenly along the passes. */
export function findStops(survey: Survey): PassStop[] {
  const lat: number[] = [];
  const lon: number[] = [];
  const bend: number[] = [];
  const rise: number[] = [];
  for (const run of findRuns(survey)) {
    for (let i = AROUND; i < run.depth.length - AROUND; i++) {
      const z = run.depth;
      lat.push(run.lat[i]);
      lon.push(run.lon[i]);
      bend.push(Math.abs(z[i + BEND] + z[i - BEND] - 2 * z[i]));
      let sum = 0;
      for (let k = i - AROUND; k <= i + AROUND; k++) sum += z[k];
      rise.push(Math.abs(z[i] - sum / (2 * AROUND + 1)));
    }
  }
  const [bends, rises] = [rms(bend), rms(rise)];
  const score = bend.map((b, i) => Math.max(b / bends, rise[i] / rises));
  const limit = [...score].sort((a, b) => b - a)[Math.floor(MARK_SHARE * score.length)];
  const rows = [...score.keys()];
  return [true, false].flatMap((isMarkLike) =>
    evenly(
      rows.filter((i) => score[i] > limit === isMarkLike),
      isMarkLike ? TAKEN_MARKS : TAKEN_OTHERS,
    ).map((i) => ({
      lat: lat[i],
      lon: lon[i],
      isMarkLike,
    })),
  );
}

const evenly = (rows: readonly number[], count: number): number[] =>
  rows.length <= count
    ? [...rows]
    : Array.from({ length: count }, (_, k) => rows[Math.floor(((k + 0.5) * rows.length) / count)]);

const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / Math.max(1, values.length));

/** Splits a survey into runs of one pass without a jump, and averages each run over `STEP` m of track. */
function* findRuns({ count, lat, lon, depth, pass }: Survey): Generator<Run> {
  let run: Run = { lat: [], lon: [], depth: [] };
  let sums = [0, 0, 0, 0];
  const finishStop = (): void => {
    const [n, a, b, d] = sums;
    if (n > 0) {
      run.lat.push(a / n);
      run.lon.push(b / n);
      run.depth.push(d / n);
    }
    sums = [0, 0, 0, 0];
  };
  let travelled = 0;
  let before = -1;
  for (let i = 0; i < count; i++) {
    if (!(depth[i] > 0)) continue;
    const last = before < 0 ? i : before;
    before = i;
    const east = (lon[i] - lon[last]) * MEAN_METERS_PER_DEGREE * Math.cos((lat[i] * Math.PI) / 180);
    const step = Math.hypot(east, (lat[i] - lat[last]) * MEAN_METERS_PER_DEGREE);
    if (pass[i] !== pass[last] || !(step <= GAP)) {
      finishStop();
      yield run;
      run = { lat: [], lon: [], depth: [] };
      travelled = 0;
    } else travelled += step;
    if (travelled >= STEP) {
      finishStop();
      travelled %= STEP;
    }
    sums = [sums[0] + 1, sums[1] + lat[i], sums[2] + lon[i], sums[3] + depth[i]];
  }
  finishStop();
  yield run;
}
