import type { LightDesign } from './light-design.ts';
import type { LightVariation } from './light-memory.ts';
import { isotropic, type LightProcess } from './light-process.ts';

/** Passes closer than 25 m do not make forms smaller: the ranges tried grow again below that, to this scale, m. */
const CLOSE_SCALE = 50;
const MOST_CLOSE_SCALE = 35;
/** Ranges tried, in scales: the first one, then others until one is likelier. */
const FIRST_RANGE = 1.6;
const OTHER_RANGES = [0.9, 3];
/** Bounds of one step of the sill toward the value that explains the residuals. */
const LEAST_STEP = 0.1;
const MOST_STEP = 8;
/** Stretch of the range with which more noise is tried. */
const NOISY_STRETCH = 1.4;
/** Log likelihood that a direction must gain to be believed. */
const DIRECTION_COST = 1;
/** Turn to both sides of the direction that the gradients show. */
const TURN = Math.PI / 8;
const FIRST_RATIO = 3;
const OTHER_RATIOS = [6, 1.8];
/** Least variance of the bottom, m^2: what noise alone can make. */
const LEAST_SILL = 0.003;

/**
 * Finds how the bottom varies near the origin: range, sill, noise and direction of greatest restricted likelihood.
 *
 * The same as `findVariation` with half the candidates: the sill steps to the value that explains the residuals, the
 * direction comes from the gradients of the best even surface, and of two neighbors the second is tried only when the
 * first is not likelier.
 *
 * @param n Blocks to look at, an even number. @param passSpacing m; sets the scale of the ranges tried. @returns undefined when every candidate is singular.
 */
export function findLightVariation(
  process: LightProcess,
  n: number,
  passSpacing: number,
  isDirected: boolean,
): LightVariation | undefined {
  const scale = Math.max(passSpacing, Math.min(MOST_CLOSE_SCALE, CLOSE_SCALE - passSpacing));
  const first = isotropic(FIRST_RANGE * scale, planeVariance(process.design, n));
  const search = new LightSearch(process, n, first);
  search.try(first);
  const step = process.design.room.fall[0] / (n - 3);
  search.try({ ...first, sill: first.sill * Math.min(MOST_STEP, Math.max(LEAST_STEP, step)) });
  search.tryUntilBetter(OTHER_RANGES.map((range) => ({ range: range * scale })));
  if (search.try({ ...search.best, range: NOISY_STRETCH * search.best.range, noise: 4 }))
    search.try({ ...search.best, noise: 16 });
  if (isDirected) searchDirection(search);
  const { range } = search.best;
  search.tryUntilBetter([{ range: 0.7 * range }, { range: 1.4 * range }]);
  const { sill } = search.best;
  search.tryUntilBetter([{ sill: 0.5 * sill }, { sill: 2 * sill }]);
  return search.score > Number.NEGATIVE_INFINITY ? search.best : undefined;
}

/** Tries the direction that the gradients show and both sides of it, then other ratios along the best. */
function searchDirection(search: LightSearch): void {
  const even = search.best;
  const shown = search.process.direction(even, search.n);
  if (shown === undefined) return;
  let best = Number.NEGATIVE_INFINITY;
  let turned = even;
  for (const angle of [shown, shown + TURN, shown - TURN]) {
    const candidate = { ...even, ratio: FIRST_RATIO, cos: Math.cos(angle), sin: Math.sin(angle) };
    search.try(candidate);
    if (search.last <= best) continue;
    best = search.last;
    turned = candidate;
  }
  if (best < search.score - DIRECTION_COST) return;
  const { cos, sin } = turned;
  search.tryUntilBetter(OTHER_RATIOS.map((ratio) => ({ ratio, cos, sin })));
}

/** Keeps the best candidate so far. */
class LightSearch {
  readonly process: LightProcess;
  readonly n: number;
  best: LightVariation;
  score = Number.NEGATIVE_INFINITY;
  /** Score of the last candidate: its log likelihood less the cost of what it assumes. */
  last = Number.NEGATIVE_INFINITY;

  constructor(process: LightProcess, n: number, start: LightVariation) {
    this.process = process;
    this.n = n;
    this.best = start;
  }

  /** True when the candidate is the best so far. */
  try(variation: LightVariation): boolean {
    this.last = this.process.fit(variation, this.n) - (variation.ratio > 1 ? DIRECTION_COST : 0);
    if (!(this.last > this.score)) return false;
    this.score = this.last;
    this.best = variation;
    return true;
  }

  /** Tries changes of the best, until one is better. */
  tryUntilBetter(changes: readonly Partial<LightVariation>[]): void {
    const start = this.best;
    changes.some((change) => this.try({ ...start, ...change }));
  }
}

/** Mean square of depths about their plane, m^2. */
function planeVariance({ room: { east, north, depth } }: LightDesign, n: number): number {
  const [e0, n0, d0] = [meanOf(east, n), meanOf(north, n), meanOf(depth, n)];
  let [ee, en, nn, ed, nd, dd] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const e = east[i] - e0;
    const m = north[i] - n0;
    const d = depth[i] - d0;
    ee += e * e;
    en += e * m;
    nn += m * m;
    ed += e * d;
    nd += m * d;
    dd += d * d;
  }
  const determinant = ee * nn - en * en;
  let explained = 0;
  if (determinant > 1e-9 * ee * nn)
    explained = (nn * ed * ed - 2 * en * ed * nd + ee * nd * nd) / determinant;
  else if (ee + nn > 0) explained = (ed * ed + nd * nd) / (ee + nn);
  return Math.max((dd - explained) / n, LEAST_SILL);
}

function meanOf(column: Float64Array, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += column[i];
  return sum / n;
}
