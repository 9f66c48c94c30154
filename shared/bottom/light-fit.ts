import { thinCrowded } from './crowded.ts';
import { WIDE_SPACING } from './gates.ts';
import { lookUp } from './kernel.ts';
import { type LightDesign, lightDesign } from './light-design.ts';
import { type LightVariation, MOST_LIGHT, SMOOTH } from './light-memory.ts';
import { dotRows, TREND, TREND_ROWS, widthOf } from './light-plain.ts';
import { LightProcess } from './light-process.ts';
import { findLightVariation } from './light-search.ts';
import type { Posterior } from './predict.ts';
import { type BlockedSoundings, NEAR_RADIUS, usualNoise } from './surface.ts';

/** Blocks with which a surface can be fitted at all. */
const LEAST_BLOCKS = 6;
/** Blocks nearest the waypoint from which the way of varying is read; of cells fewer do, as each stands for many soundings. */
const SEARCHED = 40;
const SEARCHED_CELLS = 32;
/** Standard deviations beyond which a block's own error is not believed to be noise. */
const BLOCK_LIMIT = 4;
/** Ring on which the uncertainty between passes is looked at, m. */
const RING = 24;

/** What a light fit knows of the waypoint. */
export interface LightFit {
  readonly posterior: Posterior;
  /** Mean standard deviation of the depth 24 m from the waypoint, m; 0 where passes are not so wide apart that it matters. */
  readonly ringDeviation: number;
  /** Standard deviation of what is rougher than the fit can follow, m. */
  readonly roughness: number;
}

/**
 * Depth and gradient at the origin from the nearest blocks alone, at a tenth of the cost of `fitSurface`.
 *
 * The same process without shape coordinate and second pass. @returns undefined when the blocks are under 6, or when
 * they do not determine a surface.
 */
export function fitLight({
  blocks,
  passSpacing,
  isOfCells = false,
}: Pick<BlockedSoundings, 'blocks' | 'passSpacing' | 'isOfCells'>): LightFit | undefined {
  if (blocks.count < LEAST_BLOCKS) return undefined;
  const design = lightDesign(thinCrowded(blocks, NEAR_RADIUS));
  const searched = Math.min(isOfCells ? SEARCHED_CELLS : SEARCHED, design.count);
  const process = new LightProcess(design);
  let variation = findLightVariation(process, searched, passSpacing, !isOfCells);
  if (variation === undefined || !isFitted(process, variation)) return undefined;
  if (doubtBlocks(process, variation)) {
    variation = findLightVariation(process, searched, passSpacing, !isOfCells) ?? variation;
    if (!isFitted(process, variation)) return undefined;
  }
  return {
    posterior: posteriorAtOrigin(process, variation),
    ringDeviation: passSpacing > WIDE_SPACING ? ringDeviation(process, variation) : 0,
    roughness: Math.sqrt((variation.noise - 1) * usualNoise(design.room.noise.subarray(0, design.count))),
  };
}

/** Fits all blocks, and solves what `posteriorAtOrigin` needs with them. */
function isFitted(process: LightProcess, variation: LightVariation): boolean {
  const { design } = process;
  fillOrigin(design, variation);
  return process.fit(variation, design.count, ORIGIN + 4) > Number.NEGATIVE_INFINITY;
}

/** Raises the noise of blocks that stand off from all around them; see `outliers.ts`. @returns true if there are any. */
function doubtBlocks(process: LightProcess, variation: LightVariation): boolean {
  const { noise, errors } = process.design.room;
  const alpha = process.alpha();
  let isAny = false;
  for (let i = 0; i < alpha.length; i++) {
    const variance = variation.noise * noise[i];
    const error = variance * alpha[i];
    if (error * error <= BLOCK_LIMIT ** 2 * variance) continue;
    const doubted = Math.max(4 * error * error, 100 * noise[i]);
    errors[i * (MOST_LIGHT + 1)] += doubted - noise[i];
    noise[i] = doubted;
    isAny = true;
  }
  return isAny;
}

/** First of the rows below the trend's: the origin's depth, east and north gradient. */
const ORIGIN = TREND_ROWS;

/** Mean and covariance of depth and gradient at the origin. */
function posteriorAtOrigin(process: LightProcess, variation: LightVariation): Posterior {
  const { design, n, height } = process;
  const { factor, coefficients, trendCovariance } = design.room;
  const product = (r: number, s: number): number => dotRows(factor, n, height, r, s);
  const mean: [number, number, number] = [design.zero, 0, 0];
  const trends = new Float64Array(9);
  for (let i = 0; i < 3; i++) {
    mean[i] += product(3, ORIGIN + i);
    // What the trend's columns leave to the coefficients: (1, 0, 0) for depth, 1 / TREND for each gradient.
    for (let t = 0; t < 3; t++) {
      const trend = (t !== i ? 0 : t === 0 ? 1 : 1 / TREND) - product(t, ORIGIN + i);
      trends[3 * i + t] = trend;
      mean[i] += trend * coefficients[t];
    }
  }
  const covariance = priorCovariance(variation);
  for (let i = 0; i < 3; i++) {
    for (let j = 0; j <= i; j++) {
      let c = covariance[3 * i + j] - product(ORIGIN + i, ORIGIN + j);
      for (let s = 0; s < 3; s++)
        for (let t = 0; t < 3; t++) c += trends[3 * i + s] * trendCovariance[3 * s + t] * trends[3 * j + t];
      covariance[3 * i + j] = covariance[3 * j + i] = c;
    }
  }
  return { mean, covariance };
}

/** Puts the covariance of the origin's depth, east and north gradient with each block where they will be solved. */
function fillOrigin(
  { count, room: { east, north, factor } }: LightDesign,
  { range, sill, ratio, cos, sin }: LightVariation,
): void {
  const width = widthOf(count);
  const height = width + ORIGIN + 4;
  for (let i = 0; i < count; i++) {
    const u = -(cos * east[i] + sin * north[i]) / (range * ratio);
    const v = -(cos * north[i] - sin * east[i]) / range;
    const r = Math.sqrt(u * u + v * v);
    const fall = -sill * lookUp(SMOOTH.fall, r);
    const along = (fall * u) / (range * ratio);
    const across = (fall * v) / range;
    const at = i * height + width + ORIGIN;
    factor[at] = sill * lookUp(SMOOTH.value, r);
    factor[at + 1] = cos * along - sin * across;
    factor[at + 2] = sin * along + cos * across;
    factor[at + 3] = 0;
  }
}

/** Covariance of depth and gradient before any sounding, 3 x 3 row-major. */
function priorCovariance({ range, sill, ratio, cos, sin }: LightVariation): Float64Array {
  const along = (sill * SMOOTH.curvature) / (range * ratio) ** 2;
  const across = (sill * SMOOTH.curvature) / range ** 2;
  const en = (along - across) * cos * sin;
  const ee = along * cos * cos + across * sin * sin;
  const nn = along * sin * sin + across * cos * cos;
  return Float64Array.of(sill, 0, 0, 0, ee, en, 0, en, nn);
}

/** Mean standard deviation of the depth over 8 bearings of the ring, m. */
function ringDeviation(process: LightProcess, { range, sill, ratio, cos, sin }: LightVariation): number {
  const { n, width, height } = process;
  const { east, north, factor, trendCovariance: m } = process.design.room;
  const row = new Float64Array(n);
  let sum = 0;
  for (let k = 0; k < 8; k++) {
    const toEast = RING * Math.sin((Math.PI * k) / 4);
    const toNorth = RING * Math.cos((Math.PI * k) / 4);
    for (let i = 0; i < n; i++) {
      const de = toEast - east[i];
      const dn = toNorth - north[i];
      const u = (cos * de + sin * dn) / (range * ratio);
      const v = (cos * dn - sin * de) / range;
      row[i] = sill * lookUp(SMOOTH.value, Math.sqrt(u * u + v * v));
    }
    const trend = [1, toEast / TREND, toNorth / TREND];
    let variance = sill;
    for (let i = 0; i < n; i++) {
      const column = i * height;
      const x = row[i] / factor[column + i];
      for (let j = i + 1; j < n; j++) row[j] -= factor[column + j] * x;
      for (let t = 0; t < 3; t++) trend[t] -= factor[column + width + t] * x;
      variance -= x * x;
    }
    for (let s = 0; s < 3; s++) for (let t = 0; t < 3; t++) variance += trend[s] * m[3 * s + t] * trend[t];
    sum += Math.sqrt(Math.max(variance, 0)) / 8;
  }
  return sum;
}
